"""`pipkin watch` in a headless Chromium: the page follows the file, through a mistake and back,
keeps camera and section, tries a given with its slider and writes it when asked. Prints how
long things take. Arguments: the program, and a folder for a copy of the button jar."""

import json
import re
import shutil
import statistics
import subprocess
import sys
import time
from pathlib import Path

from chromium import Browser, Failed

EXAMPLE = Path("examples/button-jar/button-jar.pkn")
STATE = "document.documentElement.dataset.state"
TURNS = 7


def check(holds, what):
    """One claim; the run ends at the first that does not hold."""
    if not holds:
        raise SystemExit(f"watch: {what}")


def until_news(browser, action):
    """Does something and waits until its first result has been drawn; milliseconds. What was
    still to come of the state before is waited for at first."""
    browser.wait(f"!{STATE}.endsWith('.first')")
    before = json.dumps(browser.run(STATE))
    start = time.monotonic()
    action()
    browser.wait(f"{STATE} !== {before}")
    return (time.monotonic() - start) * 1000


def shown(browser, selector):
    return browser.run(f"(() => {{ const e = document.querySelector({json.dumps(selector)}); return !!e && e.checkVisibility(); }})()")


def soon(browser, selector, is_there, what):
    """A file may be seen while it is half written: then there are news twice."""
    script = f"(() => {{ const e = document.querySelector({json.dumps(selector)}); return !!e && e.checkVisibility(); }})()"
    try:
        browser.wait(f"{script} === {json.dumps(is_there)}", 10)
    except Failed:
        check(False, what)
    browser.settle()


def follows(browser, file, text):
    """Saving redraws; what was seen stays."""
    browser.click("[data-plane='x']")
    browser.slide("#cut", 0.4)
    browser.drag((240, 260), (280, 270))
    seen = "[document.getElementById('cut-at').textContent, location.hash.split(',').slice(0, 2).join()]"
    time.sleep(0.4)
    before, picture = browser.run(seen), browser.drawn()
    until_news(browser, lambda: file.write_text(text.replace("given deep = 84 mm", "given deep = 120 mm")))
    browser.wait("document.getElementById('givens').innerText.includes('120 mm')")
    check(browser.drawn().differs(picture) > 0.02, "the new depth is not drawn")
    time.sleep(0.4)
    check(browser.run(seen) == before, "camera or section are lost")
    until_news(browser, lambda: file.write_text(text))
    browser.wait("document.getElementById('givens').innerText.includes('84 mm')")
    check(browser.drawn().differs(picture) < 0.001, "the old depth does not come back")


def mistakes(browser, file, text):
    """A mistake is shown at its place; the picture stays; mended it is gone."""
    picture = browser.drawn()
    until_news(browser, lambda: file.write_text(text.replace("  wall: wall", "  wall: 2 deg")))
    soon(browser, "#findings li.error mark", True, "the mistake is not shown")
    said = browser.run("document.getElementById('findings').innerText")
    line = 1 + text[: text.index("  wall: wall")].count("\n")
    for words in ("E0301", "`wall` wants a length", f"button-jar.pkn:{line}:9", "help:"):
        check(words in said, f"of the mistake is not said: {words}")
    check(browser.run("document.querySelector('#findings mark').textContent") == "2 deg", "its place is not marked")
    check(browser.drawn().differs(picture) == 0, "the last picture does not stay")
    until_news(browser, lambda: file.write_text(text[: len(text) // 2] + "\n}}}}"))
    soon(browser, "#findings li.error", True, "half a file shows no mistake")
    until_news(browser, lambda: file.write_text(text))
    soon(browser, "#findings li.error", False, "the mended file still shows a mistake")
    check(browser.drawn().differs(picture) < 0.001, "the mended file is not drawn")


def givens(browser, file, text):
    """A slider changes the picture, not the file, until the page is told to write."""
    picture = browser.drawn()
    until_news(browser, lambda: browser.slide("[data-given='bore']", 90))
    check("90 mm" in browser.run("document.getElementById('givens').innerText"), "the value is not told")
    check(browser.drawn().differs(picture) > 0.02, "the value is not drawn")
    check(file.read_text() == text, "trying a value changes the file")
    check(shown(browser, "#write"), "nothing offers to write")
    until_news(browser, lambda: browser.slide("[data-given='bore']", 46))
    check(shown(browser, "#findings li.error") or browser.run("document.getElementById('parts').innerText").find("53.2") >= 0, "the least value shows nothing")
    until_news(browser, lambda: browser.click("#discard"))
    check(browser.drawn().differs(picture) < 0.001, "discarding does not come back")
    until_news(browser, lambda: browser.slide("[data-given='bore']", 90))
    until_news(browser, lambda: browser.click("#write"))
    check(file.read_text() == text.replace("given bore = 72 mm", "given bore = 90 mm"), "the file is not as it should be")
    check(not shown(browser, "#write"), "what is written is still offered")
    until_news(browser, lambda: file.write_text(text))
    browser.wait("document.getElementById('givens').innerText.includes('72 mm')")


def times(browser, file, text):
    """From save, and from slider, to what is drawn."""
    saves = [
        until_news(browser, lambda i=i: file.write_text(text.replace("deep = 84 mm", f"deep = {90 + i} mm")))
        for i in range(TURNS)
    ]
    until_news(browser, lambda: file.write_text(text))
    slides, builds = [], []
    for i in range(TURNS):
        slides.append(until_news(browser, lambda i=i: browser.slide("[data-given='bore']", 60 + 3 * i)))
        said = browser.run("document.getElementById('state').textContent")
        builds.append(int(re.search(r"(\d+) ms", said)[1]))
    for what, limit, found in (
        ("save to updated page", 250, saves),
        ("slider to rebuilt design", 150, builds),
        ("slider to updated page, drawn without a graphics card", 300, slides),
    ):
        print(f"watch: {what}: least {min(found):.0f} ms, median {statistics.median(found):.0f} ms (aim: {limit} ms)")


def main():
    program, folder = sys.argv[1], Path(sys.argv[2])
    folder.mkdir(parents=True, exist_ok=True)
    file = folder / EXAMPLE.name
    shutil.copy(EXAMPLE, file)
    text = file.read_text()
    server = subprocess.Popen([program, "watch", "-q", str(file)], stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True)
    try:
        url = server.stdout.readline().strip()
        with Browser() as browser:
            browser.window(800, 520)
            browser.open(url)
            browser.wait(STATE)
            follows(browser, file, text)
            mistakes(browser, file, text)
            givens(browser, file, text)
            times(browser, file, text)
            server.terminate()
            browser.wait("document.getElementById('state').textContent.includes('no answer')")
            quiet = [c for c in browser.complaints if "ERR_CONNECTION_REFUSED" not in c and "ERR_EMPTY_RESPONSE" not in c]
            check(not quiet, f"complains: {quiet}")
            foreign = [u for u in browser.requests if not u.startswith((url, "data:"))]
            check(not foreign, f"asks for {foreign}")
    finally:
        server.terminate()
        server.wait()
    print("watch: followed, broken, mended, tried, written")


if __name__ == "__main__":
    main()
