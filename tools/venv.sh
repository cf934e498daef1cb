#!/bin/sh
# Makes .venv with the pinned versions; does nothing when that is already so.
#
#   tools/venv.sh demo     the program and its extras
#   tools/venv.sh test     that, and what the tests need
#
# PYTHON=/path/to/python3 chooses the interpreter (3.11 or newer).
set -eu

kind=${1:?say demo or test}
cd "$(dirname "$0")/.."
python=${PYTHON:-python3}
venv=.venv

say() { printf '%s\n' "$*"; }
stop() {
    printf '%s\n' "$@" >&2
    exit 1
}

command -v "$python" >/dev/null 2>&1 ||
    stop "Sunfleck needs Python 3.11 or newer; '$python' was not found." \
        "Install it (Debian: apt-get install python3), or run: make $kind PYTHON=/path/to/python3"
"$python" -c 'import sys; sys.exit(sys.version_info < (3, 11))' ||
    stop "Sunfleck needs Python 3.11 or newer; '$python' is $("$python" -c 'import platform; print(platform.python_version())')." \
        "Name a newer one: make $kind PYTHON=/path/to/python3.11"

wanted="$("$python" -c 'import sys; print("%d.%d" % sys.version_info[:2])') $(cat constraints.txt pyproject.toml tools/requirements.py tools/venv.sh | cksum)"
stamp=$venv/sunfleck-$kind.stamp
# What the tests need holds what the demo needs.
for made in "$stamp" "$venv/sunfleck-test.stamp"; do
    if [ -f "$made" ] && [ "$(cat "$made")" = "$wanted" ] && "$venv/bin/python" -c '' 2>/dev/null; then
        exit 0
    fi
done

# Debian keeps the part of Python that fills a new environment with pip in a package of its own.
can_make_environments() { "$python" -c 'import ensurepip, venv' 2>/dev/null; }
if ! can_make_environments; then
    package=python$("$python" -c 'import sys; print("%d.%d" % sys.version_info[:2])')-venv
    if [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null 2>&1; then
        say "Installing $package: this Python cannot make environments without it."
        apt-get update -qq
        DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends "$package"
    fi
    can_make_environments ||
        stop "This Python cannot make environments: its module ensurepip is missing." \
            "Install it, then run make $kind again:" \
            "    sudo apt-get install $package"
fi

# An environment of another Python version, or one that was moved, is made anew.
same='import sys; sys.exit("%d.%d" % sys.version_info[:2] != sys.argv[1])'
if [ -d "$venv" ] && "$venv/bin/python" -c "$same" "${wanted%% *}" 2>/dev/null && "$venv/bin/python" -m pip --version >/dev/null 2>&1; then
    say "Bringing $venv to the pinned versions ..."
else
    say "Making $venv with $("$python" --version) ..."
    "$python" -m venv --clear "$venv"
fi
rm -f "$stamp"

list=$venv/sunfleck-$kind.requirements
"$venv/bin/python" tools/requirements.py "$kind" >"$list"
"$venv/bin/python" -m pip install --quiet --disable-pip-version-check -c constraints.txt -r "$list"
# The backend is installed and pinned by now; an isolated build would fetch another one.
"$venv/bin/python" -m pip install --quiet --disable-pip-version-check --no-deps --no-build-isolation -e .
printf '%s\n' "$wanted" >"$stamp"
say "$venv is ready."
