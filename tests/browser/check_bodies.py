"""What the page shows besides parts: columns under a part, things that are bought, fits of
pairs. Opened from disk in a headless Chromium. Arguments: the pages of the desk tray and of the
token drawer."""

import sys
from pathlib import Path

from chromium import Browser

WINDOW = (800, 520)


def check(holds, what):
    """One claim; the run ends at the first that does not hold."""
    if not holds:
        raise SystemExit(f"bodies of the page: {what}")


def start(browser, page, count):
    browser.window(*WINDOW)
    browser.open(Path(page).resolve().as_uri())
    browser.wait(f"document.querySelectorAll('[data-part]').length === {count}")
    browser.settle()


def quiet(browser):
    check(not browser.complaints, f"complains: {browser.complaints}")


def columns(browser, page):
    """Columns are a body of their own: listed, hidden, taken along, cut."""
    start(browser, page, 2)
    text = browser.run("document.getElementById('parts').innerText")
    for words in ("props under tray", "columns up to 14 mm tall, broken away after printing"):
        check(words in text, f"does not say “{words}”")
    browser.click("[data-look='front']")
    browser.click("[data-plane='y']")
    # 4 mm behind the middle: through the columns, which stand under the back half.
    browser.slide("#cut", 0.25)
    cut = browser.drawn()
    browser.click("[data-part='props under tray']")
    without = browser.drawn()
    check(cut.differs(without) > 0.01, "columns cannot be hidden, or are not seen")
    browser.click("[aria-label='show only props under tray']")
    check(not browser.run("document.querySelector(\"[data-part='tray']\").checked"), "`only` leaves the tray")
    check(browser.drawn().differs(without) > 0.1, "`only` shows no columns")
    browser.click("[aria-label='show only props under tray']")
    check(browser.drawn().differs(cut) == 0, "`only` does not end")
    check(browser.run("scrollY + document.scrollingElement.scrollHeight - innerHeight") == 0, "the page is longer than the window")
    quiet(browser)


def pairs(browser, page):
    """The least gaps of both pairs are listed and gone to; tokens are said to be bought."""
    start(browser, page, 3)
    text = browser.run("document.body.innerText")
    for words in ("drawer in chest", "gap 0.25 to", "tokens in drawer", "gap 0.4 to", "comes out over", "bought: shown, never printed"):
        check(words in text, f"does not say “{words}”")
    check("props" not in text, "tells of props where there are none")
    for fit, least in ((0, "0.4 mm"), (1, "0.25 mm")):
        browser.click(f"[data-fit='{fit}']")
        browser.drawn()
        label = browser.run("document.querySelector('.mark[aria-pressed=true]').innerText.trim()")
        check(label == least, f"the least gap is told as {label}")
        # Along itself, however it is turned in the picture.
        span = browser.run("document.querySelector('.span').offsetWidth")
        # Half of the smaller side of the canvas shows 8 gaps, at least 1.5 mm: see `goToFit`.
        gap = float(least.split()[0])
        check(abs(span - gap * 240 / max(8 * gap, 1.5)) < 1.5, f"the gap is {span} pixels wide")
    quiet(browser)


def main():
    tray, drawer = sys.argv[1:]
    with Browser() as browser:
        columns(browser, tray)
        pairs(browser, drawer)
    print("bodies of the page: columns, bought things and pairs shown")


if __name__ == "__main__":
    main()
