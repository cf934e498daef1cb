"""The workbench in a headless browser: first paint, a lamp dragged until its colours are seen, memory over many edits."""

from __future__ import annotations

import os
import re
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import numpy as np

from benchmarks.plans import PERCHES, twelve_perches
from benchmarks.table import Row, cores
from oracles.plans import tall_guarded

CHROMIUM = "/usr/bin/chromium"
FLAGS = (
    "--no-sandbox",
    "--use-angle=swiftshader",
    "--enable-unsafe-swiftshader",
    "--ignore-gpu-blocklist",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-first-run",
)
SIZE = {"width": 1280, "height": 800}
VIEW = "document.querySelector('.sf-scene').sceneView"
LAMPS = {"tube": "fixtures/uv tube", "spot": "fixtures/basking lamp"}
MOVES, PAUSE = 120, 40  # of the mouse; one each so many milliseconds
LOADS = 7
EDITS_BEFORE, EDITS = 100, 1000
STRIDE = 30  # keys one way, then back
SETTLED = 4000  # after which nothing is being worked out any more [ms]
PATIENCE = 120_000  # [ms]
# From an event of a drag to the frame that shows its colours.
WATCH = f"""() => {{
  const v = {VIEW}, begun = {{}};
  window.taken = [];
  // A mark of a verdict may lie over the lamp.
  v.markLayer.style.display = 'none';
  // The second lamp is watched as the first was.
  if (v.watched) return;
  v.watched = true;
  const emit = v.lane.emit, paint = v.paint.bind(v);
  v.lane.emit = (name, what) => {{ if (name === 'dragging') begun[what.seq] = performance.now(); emit(name, what); }};
  v.paint = (seq, sent) => {{
    paint(seq, sent);
    const at = begun[seq], frames = v.frames;
    if (at === undefined) return;
    const seen = () => v.frames > frames ? window.taken.push(performance.now() - at) : requestAnimationFrame(seen);
    requestAnimationFrame(seen);
  }};
}}"""


def rows(*, tiny: bool) -> Iterator[Row]:
    """Time it all; nothing where there is no such browser."""
    if not Path(CHROMIUM).exists():
        return
    from playwright.sync_api import sync_playwright  # noqa: PLC0415  # of the tests

    perches = 3 if tiny else PERCHES
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        file = Path(folder) / "plan.yaml"
        # What goes through the door past twelve perches takes half a minute to work out: a tiny run has three.
        file.write_text(tall_guarded() if tiny else twelve_perches().document.text, encoding="utf-8")
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=list(FLAGS))
        with _program(file) as (process, address):
            yield from _loads(browser, address, 1 if tiny else LOADS, perches)
            page = _opened(browser, address, 0 if tiny else SETTLED, perches)
            for lamp, key in LAMPS.items():
                yield from _drag(page, lamp, key, 6 if tiny else MOVES, 0 if tiny else SETTLED)
            if not tiny:
                yield _memory(page, process.pid, EDITS_BEFORE, EDITS)
        browser.close()


@contextmanager
def _program(file: Path) -> Iterator[tuple[subprocess.Popen[str], str]]:
    command = [sys.executable, "-m", "sunfleck", "open", "--no-browser", str(file)]
    env = {**os.environ, "PYTHONUNBUFFERED": "1", "OPENBLAS_NUM_THREADS": "1"}
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env=env) as process:
        assert process.stdout is not None
        found = re.search(r"http://\S+", process.stdout.readline())
        assert found is not None, "the program says its address first"
        try:
            yield process, found[0]
        finally:
            process.terminate()


def _opened(browser: Any, address: str, settled: int, perches: int) -> Any:
    page = browser.new_context(viewport=SIZE).new_page()
    page.set_default_timeout(PATIENCE)
    page.goto(address)
    page.wait_for_function(f"{VIEW}?.items.byKey.size > {perches}")
    _settle(page, settled)
    return page


def _settle(page: Any, settled: int) -> None:
    """Wait until verdicts of everything are there: nothing else is being worked out."""
    page.wait_for_function(
        "() => /of \\d+ meet$/.test(document.querySelector('.sf-side').innerText.split('\\n')[1])"
    )
    page.wait_for_timeout(settled)


def _loads(browser: Any, address: str, count: int, perches: int) -> Iterator[Row]:
    first, picture = [], []
    for _ in range(count + 1):
        context = browser.new_context(viewport=SIZE)
        page = context.new_page()
        page.set_default_timeout(PATIENCE)
        page.goto(address)
        page.wait_for_function(f"{VIEW}?.frames > 0 && {VIEW}.items.byKey.size > {perches}")
        picture.append(page.evaluate("performance.now() / 1000"))
        painted = "performance.getEntriesByName('first-contentful-paint')[0].startTime / 1000"
        first.append(page.evaluate(painted))
        context.close()
    size = f"{SIZE['width']} x {SIZE['height']}"
    note = f"the first words, not yet the picture; median of {count} windows with nothing kept, {size}, software GL"
    yield Row("the workbench opened: first paint", float(np.median(first[1:])), "s", cores(), 2.0, note)
    yield Row("   the box in 3D, at most", float(np.median(picture[1:])), "s", cores())


def _drag(page: Any, lamp: str, key: str, moves: int, settled: int) -> Iterator[Row]:
    page.locator("button.sf-chip", has_text=key.partition("/")[2]).first.click()
    page.wait_for_function(f"{VIEW}.selected === '{key}'")
    page.evaluate(WATCH)
    x, y = page.evaluate(
        f"""key => {{ const v = {VIEW}, item = v.items.byKey.get(key), box = v.canvas.getBoundingClientRect();
        const body = item.body.geometry; body.computeBoundingBox();
        const s = v.screenOf(body.boundingBox.getCenter(item.anchor.clone()).add(item.offset));
        return [s.x + box.x, s.y + box.y]; }}""",
        key,
    )
    page.mouse.move(x, y)
    page.mouse.down()
    for k in range(moves):
        page.mouse.move(x + 40 * np.sin(k / 12), y + 14 * np.sin(k / 9))
        page.wait_for_timeout(PAUSE)
    page.wait_for_function("window.taken.length > 0")
    page.wait_for_timeout(600)
    taken = np.array(page.evaluate("window.taken")) / 1000
    page.mouse.up()
    # What is let go is judged; a pause, so that it has begun.
    page.wait_for_timeout(settled)
    _settle(page, settled)
    note = f"{len(taken)} answers to {moves} moves, one each {PAUSE} ms; {PERCHES} perches, a cut, UV index"
    work = f"a {lamp} dragged on the page: new colours seen, 95 of 100 within"
    yield Row(work, float(np.quantile(taken, 0.95)), "s", cores(), 0.2, note)
    yield Row("   half of them within", float(np.median(taken)), "s", cores())


def _memory(page: Any, pid: int, before: int, edits: int) -> Row:
    """What the program's memory grows by from one edit to later ones, at rest: the lamp goes to and fro, all undoable."""
    page.locator(".sf-scene canvas").focus()
    found = {}
    for k in range(1, edits + 1):
        # As many steps one way as back: pauses find the lamp at ever other places, so that verdicts are of other plans.
        page.keyboard.press("ArrowRight" if (k + STRIDE // 2) % (2 * STRIDE) < STRIDE else "ArrowLeft")
        # A pause ends a row of keys: each is an edit.
        page.wait_for_timeout(450 if k % 10 == 0 else 120)
        # What is kept of a few plans is full before the first reading.
        if k % before == 0 or (k < before and k % 10 == 0):
            page.wait_for_timeout(1500)
            _settle(page, 1000)
            found[k] = _resident(pid)
    first, most = found[before], max(found[k] for k in found if k > before)
    last = f"resident at edit {before}: {first:.0f} MB, at {edits}: {found[edits]:.0f} MB"
    note = f"the most of {len(found) - before // 10} readings at rest; {last}"
    return Row(f"the workbench's memory, edit {before} to {edits}", most - first, "MB", 1, 20.0, note)


def _resident(pid: int) -> float:
    text = Path(f"/proc/{pid}/status").read_text(encoding="utf-8")
    return int(re.search(r"VmRSS:\s+(\d+) kB", text)[1]) / 1000  # type: ignore[index]  # every process has one
