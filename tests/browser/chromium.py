"""A headless Chromium over the DevTools protocol (https://chromedevtools.github.io/devtools-protocol/),
by pipe: no port is opened and nothing but the standard library is needed."""

import base64
import json
import os
import select
import shutil
import struct
import subprocess
import tempfile
import time
import zlib

FLAGS = [
    "--headless",
    "--no-sandbox",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--use-angle=swiftshader",
    "--enable-unsafe-swiftshader",
    "--hide-scrollbars",
]

PATIENCE_S = 30.0


class Failed(Exception):
    """The browser, or something in the page, went wrong."""


class Browser:
    """One browser with one page."""

    def __init__(self, flags=()):
        program = shutil.which("chromium")
        if program is None:
            raise Failed("there is no chromium")
        self.home = tempfile.mkdtemp(prefix="pipkin-browser-")
        to_browser, from_us = os.pipe()
        to_us, from_browser = os.pipe()

        def ends():
            # The browser reads commands from 3 and writes answers to 4.
            one, two = os.dup(to_browser), os.dup(from_browser)
            os.dup2(one, 3)
            os.dup2(two, 4)

        arguments = [program, *FLAGS, *flags, f"--user-data-dir={self.home}", "--remote-debugging-pipe", "about:blank"]
        self.process = subprocess.Popen(
            arguments, preexec_fn=ends, close_fds=False, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
        )
        os.close(to_browser)
        os.close(from_browser)
        self.out, self.into = from_us, to_us
        self.buffer = b""
        self.next = 0
        self.session = None
        self.complaints = []
        self.requests = []
        try:
            self._attach()
        except BaseException:
            self.close()
            raise

    def _attach(self):
        page = next(t for t in self.ask("Target.getTargets")["targetInfos"] if t["type"] == "page")
        self.session = self.ask("Target.attachToTarget", targetId=page["targetId"], flatten=True)["sessionId"]
        for domain in ("Page", "Runtime", "Log", "Network"):
            self.ask(f"{domain}.enable")

    def __enter__(self):
        return self

    def __exit__(self, *_):
        self.close()

    def close(self):
        """Ends the browser, and removes what it wrote."""
        self.process.terminate()
        try:
            self.process.wait(10)
        except subprocess.TimeoutExpired:
            self.process.kill()
            self.process.wait()
        os.close(self.out)
        os.close(self.into)
        shutil.rmtree(self.home, ignore_errors=True)

    def _read(self, until):
        while b"\0" not in self.buffer:
            left = until - time.monotonic()
            if left <= 0 or not select.select([self.into], [], [], left)[0]:
                return None
            data = os.read(self.into, 1 << 20)
            if not data:
                raise Failed("the browser is gone")
            self.buffer += data
        message, self.buffer = self.buffer.split(b"\0", 1)
        return json.loads(message)

    def _note(self, message):
        method, p = message.get("method"), message.get("params", {})
        if method == "Runtime.exceptionThrown":
            detail = p["exceptionDetails"]
            self.complaints.append(detail.get("exception", {}).get("description") or detail["text"])
        elif method == "Log.entryAdded" and p["entry"]["level"] == "error":
            self.complaints.append(p["entry"]["text"])
        elif method == "Network.requestWillBeSent":
            self.requests.append(p["request"]["url"])

    def ask(self, method, **params):
        """One command and its answer."""
        self.next += 1
        message = {"id": self.next, "method": method, "params": params}
        if self.session:
            message["sessionId"] = self.session
        data = json.dumps(message).encode() + b"\0"
        while data:
            data = data[os.write(self.out, data) :]
        until = time.monotonic() + PATIENCE_S
        while True:
            answer = self._read(until)
            if answer is None:
                raise Failed(f"{method}: no answer")
            if answer.get("id") == self.next:
                if "error" in answer:
                    raise Failed(f"{method}: {answer['error']['message']}")
                return answer["result"]
            self._note(answer)

    def window(self, width, height, dark=False, scale=1, touch=False):
        """The size of the page, and what the system says of light and dark."""
        self.ask("Emulation.setDeviceMetricsOverride", width=width, height=height, deviceScaleFactor=scale, mobile=touch)
        scheme = {"name": "prefers-color-scheme", "value": "dark" if dark else "light"}
        self.ask("Emulation.setEmulatedMedia", features=[scheme])
        self.ask("Emulation.setTouchEmulationEnabled", enabled=touch)

    def open(self, url):
        """Goes to a page and waits until it has loaded."""
        self.ask("Page.navigate", url=url)
        self.wait("document.readyState === 'complete' && location.href.startsWith(%s)" % json.dumps(url))

    def run(self, script):
        """The value of an expression in the page; promises are waited for."""
        answer = self.ask("Runtime.evaluate", expression=script, returnByValue=True, awaitPromise=True)
        if "exceptionDetails" in answer:
            detail = answer["exceptionDetails"]
            raise Failed(detail.get("exception", {}).get("description") or detail["text"])
        return answer["result"].get("value")

    def wait(self, script, patience=PATIENCE_S):
        """Waits until an expression is true; gives the seconds that this took."""
        start = time.monotonic()
        while time.monotonic() - start < patience:
            try:
                if self.run(script):
                    return time.monotonic() - start
            except Failed as failed:
                # A page that is on its way out answers nothing.
                if "context" not in str(failed):
                    raise
            time.sleep(0.005)
        raise Failed(f"never came true: {script}")

    def mouse(self, kind, x, y, **more):
        """`mousePressed`, `mouseMoved`, `mouseReleased`, `mouseWheel`."""
        self.ask("Input.dispatchMouseEvent", type=kind, x=x, y=y, **more)

    def drag(self, start, end, button="left", modifiers=0):
        """Presses at `start`, moves in steps, lets go at `end`."""
        held = {"left": 1, "right": 2}[button]
        self.mouse("mousePressed", *start, button=button, buttons=held, clickCount=1, modifiers=modifiers)
        for i in range(1, 9):
            x, y = (a + (b - a) * i / 8 for a, b in zip(start, end))
            self.mouse("mouseMoved", x, y, button=button, buttons=held, modifiers=modifiers)
        self.mouse("mouseReleased", *end, button=button, buttons=0, clickCount=1, modifiers=modifiers)

    def click(self, selector):
        """Clicks with the mouse, where the element really is."""
        self.run(f"document.querySelector({json.dumps(selector)}).scrollIntoView({{block: 'center'}})")
        x, y, covered = self.run(
            f"""(() => {{ const e = document.querySelector({json.dumps(selector)}), b = e.getBoundingClientRect();
            const x = b.x + b.width / 2, y = b.y + b.height / 2, top = document.elementFromPoint(x, y);
            return [x, y, !(top && (e === top || e.contains(top) || top.contains(e)))]; }})()"""
        )
        if covered:
            raise Failed(f"{selector} cannot be clicked: something lies over it")
        self.mouse("mousePressed", x, y, button="left", buttons=1, clickCount=1)
        self.mouse("mouseReleased", x, y, button="left", buttons=0, clickCount=1)

    def key(self, key, code=None, modifiers=0):
        """Presses and lets go a key."""
        text = {"text": key} if len(key) == 1 else {}
        for kind in ("keyDown", "keyUp"):
            extra = text if kind == "keyDown" else {}
            self.ask("Input.dispatchKeyEvent", type=kind, key=key, code=code or key, modifiers=modifiers, **extra)

    def slide(self, selector, value):
        """Moves a slider as a hand would: the page is told."""
        self.run(
            f"""(() => {{ const e = document.querySelector({json.dumps(selector)}); e.value = {json.dumps(str(value))};
            e.dispatchEvent(new Event('input', {{bubbles: true}})); }})()"""
        )

    def settle(self):
        """Waits until what was asked for has been drawn."""
        self.run("new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(() => done(true))))")

    def screenshot(self, path=None):
        """What is on the screen, as a `Picture`; also into a file."""
        data = base64.b64decode(self.ask("Page.captureScreenshot", format="png")["data"])
        if path:
            with open(path, "wb") as file:
                file.write(data)
        return Picture(data)

    def drawn(self):
        """The canvas alone, read back from WebGL."""
        self.settle()
        url = self.run("document.getElementById('view').toDataURL('image/png')")
        return Picture(base64.b64decode(url.split(",", 1)[1]))


class Picture:
    """Pixels of a PNG (ISO/IEC 15948) of 8 bits, not interlaced."""

    def __init__(self, data):
        if data[:8] != b"\x89PNG\r\n\x1a\n":
            raise Failed("that is no PNG")
        at, packed = 8, b""
        while at < len(data):
            (length,) = struct.unpack(">I", data[at : at + 4])
            kind, body = data[at + 4 : at + 8], data[at + 8 : at + 8 + length]
            at += 12 + length
            if kind == b"IHDR":
                self.width, self.height, depth, colour, _, _, interlaced = struct.unpack(">IIBBBBB", body)
                if depth != 8 or colour not in (2, 6) or interlaced:
                    raise Failed("a PNG of another kind")
                self.channels = 3 if colour == 2 else 4
            elif kind == b"IDAT":
                packed += body
        self.rows = self._unfiltered(zlib.decompress(packed))

    def _unfiltered(self, raw):
        wide, n = self.width * self.channels, self.channels
        rows, above = [], bytearray(wide)
        for y in range(self.height):
            kind, line = raw[y * (wide + 1)], bytearray(raw[y * (wide + 1) + 1 : (y + 1) * (wide + 1)])
            if kind == 1:
                for i in range(n, wide):
                    line[i] = (line[i] + line[i - n]) & 255
            elif kind == 2:
                line = bytearray((a + b) & 255 for a, b in zip(line, above))
            elif kind == 3:
                for i in range(wide):
                    left = line[i - n] if i >= n else 0
                    line[i] = (line[i] + (left + above[i]) // 2) & 255
            elif kind == 4:
                for i in range(wide):
                    a, b, c = (line[i - n] if i >= n else 0), above[i], (above[i - n] if i >= n else 0)
                    p = a + b - c
                    pa, pb, pc = abs(p - a), abs(p - b), abs(p - c)
                    line[i] = (line[i] + (a if pa <= pb and pa <= pc else b if pb <= pc else c)) & 255
            rows.append(line)
            above = line
        return rows

    def pixel(self, x, y):
        """Red, green, blue."""
        return tuple(self.rows[y][x * self.channels : x * self.channels + 3])

    def pixels(self):
        """All of them."""
        n = self.channels
        for row in self.rows:
            for i in range(0, len(row), n):
                yield (row[i], row[i + 1], row[i + 2])

    def share(self, wanted):
        """The share of pixels that are `wanted`."""
        return sum(1 for p in self.pixels() if wanted(p)) / (self.width * self.height)

    def differs(self, other):
        """The share of pixels that are not as in another picture of the same size."""
        pairs = zip(self.pixels(), other.pixels())
        return sum(1 for a, b in pairs if max(abs(x - y) for x, y in zip(a, b)) > 8) / (self.width * self.height)
