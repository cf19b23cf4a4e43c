"""The page that `build --pictures` leaves, opened from disk in a headless Chromium and used
by mouse, fingers and keys. Argument: the page of the button jar."""

import math
import sys
import time
from pathlib import Path

from chromium import Browser

# The panel takes 320 pixels; the picture has 480 x 520.
WINDOW, MIDDLE = (800, 520), (240, 260)


# The materials of the button jar: chalk is nearly grey, moss is green.
def green(p):
    return p[1] > p[0] + 12 and p[1] > p[2] + 12


def check(holds, what):
    """One claim; the run ends at the first that does not hold."""
    if not holds:
        raise SystemExit(f"preview page: {what}")


def start(browser, url, **window):
    browser.window(*WINDOW, **window)
    browser.open(url)
    browser.wait("document.querySelectorAll('[data-part]').length === 3")
    browser.settle()


def labels(browser):
    """Every control can be told by its name (WCAG 2.2, 4.1.2)."""
    browser.run("document.getElementById('keys').open = true")
    nodes = browser.ask("Accessibility.getFullAXTree")["nodes"]
    roles = {"button", "checkbox", "slider", "application", "combobox", "spinbutton", "textbox"}
    controls = [n for n in nodes if n.get("role", {}).get("value") in roles and not n.get("ignored")]
    check(len(controls) >= 18, f"only {len(controls)} controls")
    for node in controls:
        name = node.get("name", {}).get("value", "").strip()
        check(name, f"a {node['role']['value']} has no name")
    text = browser.run("document.body.innerText")
    for words in ("button-jar", "belt in jar", "gap 0.1 to", "cap on jar", "jar.capacity >= 80 ml", "not rated for food contact"):
        check(words in text, f"does not say “{words}”")


def turning(browser):
    """Mouse, wheel and keys move the picture, and `whole` brings it back."""
    first = browser.drawn()
    check(first.share(green) > 0.01, "the belt cannot be seen")
    browser.drag(MIDDLE, (300, 275))
    turned = browser.drawn()
    check(turned.differs(first) > 0.02, "dragging turns nothing")
    browser.drag(MIDDLE, (275, 260), button="right")
    check(browser.drawn().differs(turned) > 0.05, "dragging with the right button moves nothing")
    before = browser.drawn()
    browser.mouse("mouseWheel", *MIDDLE, deltaX=0, deltaY=-400)
    check(browser.drawn().differs(before) > 0.1, "the wheel zooms nothing")
    browser.click("#whole")
    check(browser.drawn().differs(first) < 0.001, "`whole` does not come back")
    browser.run("document.getElementById('view').focus()")
    for key in ("ArrowLeft", "+", "-", "1", "2", "3"):
        before = browser.drawn()
        browser.key(key)
        check(browser.drawn().differs(before) > 0.005, f"the key {key} does nothing")
    browser.key("0")
    check(browser.drawn().differs(first) < 0.001, "the key 0 does not come back")


def parts(browser):
    """A part is hidden and shown."""
    first = browser.drawn()
    browser.click("[data-part='belt']")
    check(browser.drawn().share(green) == 0, "the belt stays when it is hidden")
    browser.click("[data-part='belt']")
    check(browser.drawn().differs(first) == 0, "the belt does not come back")
    browser.click("[aria-label='show only belt']")
    check(not browser.run("document.querySelector(\"[data-part='jar']\").checked"), "`only` leaves the jar")
    check(browser.drawn().share(green) > 0.01, "`only` leaves nothing")
    browser.click("[aria-label='show only belt']")
    check(browser.drawn().differs(first) == 0, "`only` does not end")


def exploded(browser):
    """The slider takes the jar apart: the belt goes up and all of it is seen."""
    first = browser.drawn()
    browser.slide("#apart", 1)
    apart = browser.drawn()
    check(apart.differs(first) > 0.1, "the exploded view is as the closed one")
    height = lambda p: min(y for y in range(p.height) if any(green(p.pixel(x, y)) for x in range(0, p.width, 3)))
    check(height(apart) < height(first) - 20, "the belt does not rise")
    browser.slide("#apart", 0)
    check(browser.drawn().differs(first) == 0, "the exploded view does not close")


def sections(browser):
    """A section lays bare the hollow and is hatched; its slider moves it."""
    whole = browser.drawn()
    browser.click("[data-plane='y']")
    browser.click("[data-look='front']")
    middle = browser.drawn()
    check(middle.differs(whole) > 0.1, "a section changes nothing")
    # The wall is hatched: dark and light in turns down a line in its middle, 37.8 mm from the
    # axis. Half of the smaller side of the canvas shows 1.05 times the radius of the box.
    radius = math.hypot(81.6, 81.6, 98.4) / 2
    x = round(240 + 37.8 * 240 / (1.05 * radius))
    wall = [sum(middle.pixel(x, y)) > 420 for y in range(220, 400)]
    flips = sum(1 for a, b in zip(wall, wall[1:]) if a != b)
    check(flips >= 20, f"the section is not hatched ({flips} lines)")
    at = browser.run("document.getElementById('cut-at').textContent")
    check(at == "0.00 mm", f"a section through the middle is told as {at}")
    browser.slide("#cut", 0.02)
    check(browser.drawn().differs(middle) > 0.05, "the slider of the section moves nothing")
    browser.click("#flip")
    check(browser.run("document.getElementById('cut-at').textContent").endswith("mm"), "no place is told")
    browser.click("[data-plane='none']")
    browser.click("#whole")
    check(browser.drawn().differs(whole) < 0.001, "the section does not end")


def gaps(browser):
    """The least gap of the lid, 0.15 mm, is shown in its true width: pixels that are neither
    the lid nor the jar between two hatched faces."""
    browser.click("[data-fit='1']")
    picture = browser.drawn()
    label = browser.run("document.querySelector('.mark[aria-pressed=true]').innerText.trim()")
    check(label == "0.15 mm", f"the least gap is told as {label}")
    span = browser.run("document.querySelector('.span').getBoundingClientRect().width")
    # Half of the smaller side of the canvas shows 1.5 mm: see `goToFit`.
    check(abs(span - 0.15 * 240 / 1.5) < 1, f"the gap is {span} pixels wide")
    # Above or below: on one side the faces may end, or part.
    even = lambda x, y: len({picture.pixel(x, y + d) for d in range(-8, 9)}) == 1
    clear = min(sum(1 for x in range(190, 290) if even(x, y)) for y in (160, 360))
    check(abs(clear - span) <= 4, f"{clear} pixels are free between the parts, the gap has {span}")
    browser.click("#whole")
    browser.click("[data-plane='none']")


def looks(browser, url):
    """Light and dark, by the system and by hand; narrow and by fingers."""
    paper = lambda: browser.screenshot().pixel(4, 450)
    check(min(paper()) > 200, "light is not light")
    browser.window(*WINDOW, dark=True)
    browser.settle()
    check(max(paper()) < 80, "the system's dark is not followed")
    browser.click("#theme")
    browser.settle()
    check(min(paper()) > 200, "the switch to light does nothing")
    browser.click("#theme")
    browser.window(390, 800, dark=True, scale=2, touch=True)
    browser.open(url + "?narrow")
    browser.settle()
    wide = browser.run("[document.documentElement.scrollWidth, innerWidth]")
    check(wide[0] <= wide[1], f"the narrow page is {wide[0]} wide")
    first = browser.drawn()
    touch = lambda kind, *points: browser.ask(
        "Input.dispatchTouchEvent", type=kind, touchPoints=[{"x": x, "y": y, "id": i} for i, (x, y) in enumerate(points)]
    )
    touch("touchStart", (150, 200), (240, 200))
    for i in range(1, 6):
        touch("touchMove", (150 - 10 * i, 200), (240 + 10 * i, 200))
    touch("touchEnd")
    pinched = browser.drawn()
    check(pinched.differs(first) > 0.1, "pinching zooms nothing")
    touch("touchStart", (150, 200))
    for i in range(1, 6):
        touch("touchMove", (150 + 12 * i, 200))
    touch("touchEnd")
    check(browser.drawn().differs(pinched) > 0.02, "a finger turns nothing")


def reload(browser, url):
    """What is seen survives a reload."""
    start(browser, url)
    browser.slide("#apart", 0.5)
    browser.drag(MIDDLE, (290, 250))
    before = browser.drawn()
    browser.wait("location.hash.length > 4")
    time.sleep(0.4)
    browser.ask("Page.reload")
    browser.wait("document.getElementById('apart')?.value === '0.5'")
    check(browser.drawn().differs(before) < 0.001, "a reload forgets what was seen")


def quiet(browser):
    check(not browser.complaints, f"complains: {browser.complaints}")
    foreign = [u for u in browser.requests if not u.startswith(("file:", "data:"))]
    check(not foreign, f"asks for {foreign}")


def main():
    url = Path(sys.argv[1]).resolve().as_uri()
    with Browser() as browser:
        start(browser, url)
        labels(browser)
        turning(browser)
        parts(browser)
        exploded(browser)
        sections(browser)
        gaps(browser)
        looks(browser, url)
        reload(browser, url + "?again")
        quiet(browser)
    with Browser(["--disable-3d-apis"]) as browser:
        start(browser, url)
        still = browser.run("(() => { const s = document.getElementById('still'); return [s?.hidden, s?.naturalWidth]; })()")
        check(still == [False, 800], f"without WebGL there is no still picture: {still}")
        check("belt in jar" in browser.run("document.body.innerText"), "without WebGL there are no figures")
        quiet(browser)
    print("preview page: opened, turned, cut, taken apart, measured")


if __name__ == "__main__":
    main()
