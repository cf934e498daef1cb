# The two commands a newcomer needs: `make demo` and `make test`.
.DEFAULT_GOAL := help
.PHONY: help demo test bench soak fix constraints

PYTHON ?= python3
BIN := .venv/bin

help:
	@echo "make demo         two example plans: checked, mapped, explained"
	@echo "make test         format, lint, types, import layers, tests, doctests"
	@echo "make bench        how long things take on this machine (about 15 minutes, nothing else running)"
	@echo "make soak         passage asked of 2,000 boxes near the limit (hours)"
	@echo "make fix          format and mend what the linter can mend by itself"
	@echo "make constraints  pin what is installed in .venv now"

demo:
	@PYTHON="$(PYTHON)" sh tools/venv.sh demo
	@sh tools/demo.sh

test:
	@PYTHON="$(PYTHON)" sh tools/venv.sh test
	$(BIN)/ruff format --check .
	$(BIN)/ruff check .
	$(BIN)/mypy
	$(BIN)/lint-imports
	OPENBLAS_NUM_THREADS=1 $(BIN)/pytest -n 2 --dist worksteal

bench:
	@PYTHON="$(PYTHON)" sh tools/venv.sh test
	$(BIN)/python -m benchmarks

soak:
	@PYTHON="$(PYTHON)" sh tools/venv.sh test
	OPENBLAS_NUM_THREADS=1 $(BIN)/python tools/soak_passage.py --cases 2000

fix:
	@PYTHON="$(PYTHON)" sh tools/venv.sh test
	$(BIN)/ruff check --fix .
	$(BIN)/ruff format .

constraints:
	$(BIN)/python -m pip freeze --exclude-editable | LC_ALL=C sort -f > constraints.new
	mv constraints.new constraints.txt
