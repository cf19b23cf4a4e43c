// Hands on the picture: mouse, fingers, keys. Then the page begins.
const fingers = new Map();
canvas.addEventListener("contextmenu", (e) => e.preventDefault());
canvas.addEventListener("pointerdown", (e) => {
  canvas.setPointerCapture(e.pointerId);
  fingers.set(e.pointerId, [e.offsetX, e.offsetY]);
});
for (const end of ["pointerup", "pointercancel"]) canvas.addEventListener(end, (e) => fingers.delete(e.pointerId));
canvas.addEventListener("pointermove", (e) => {
  const before = fingers.get(e.pointerId);
  if (!before) return;
  const now = [e.offsetX, e.offsetY], dx = now[0] - before[0], dy = now[1] - before[1];
  if (fingers.size === 1) {
    if (e.shiftKey || e.buttons & 6) move(dx, dy); else turn(dx * 0.008, dy * 0.008);
  } else {
    const other = [...fingers].find(([id]) => id !== e.pointerId)[1];
    const gap = (p) => Math.hypot(p[0] - other[0], p[1] - other[1]) || 1;
    move(dx / 2, dy / 2);
    zoom(gap(now) / gap(before), (now[0] + other[0]) / 2, (now[1] + other[1]) / 2);
  }
  fingers.set(e.pointerId, now);
});
canvas.addEventListener("wheel", (e) => {
  e.preventDefault();
  zoom(Math.exp(-e.deltaY * (e.deltaMode ? 0.05 : 0.0015)), e.offsetX, e.offsetY);
}, { passive: false });

const PLANES = ["none", "x", "y", "z"];
function nextFit() {
  const placed = design.fits.map((fit, i) => (fit.at ? i : -1)).filter((i) => i >= 0);
  if (placed.length) goToFit(placed[(placed.indexOf(seen.fit) + 1) % placed.length]);
}
const KEYS = {
  "+": () => zoom(1.2), "=": () => zoom(1.2), "-": () => zoom(1 / 1.2),
  "0": whole, "1": () => look("front"), "2": () => look("side"), "3": () => look("top"),
  "s": () => setPlane(PLANES[(PLANES.indexOf(seen.plane) + 1) % 4]),
  "[": () => seen.plane !== "none" && setCut(cutShare() - 0.01),
  "]": () => seen.plane !== "none" && setCut(cutShare() + 0.01),
  "e": () => setApart(seen.apart > 0.5 ? 0 : 1),
  "g": nextFit,
  "h": otherTheme,
};
canvas.addEventListener("keydown", (e) => {
  if (e.ctrlKey || e.metaKey || e.altKey) return;
  const arrow = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[e.key];
  if (arrow && e.shiftKey) move(arrow[0] * 24, arrow[1] * 24);
  else if (arrow) turn(arrow[0] * 0.12, arrow[1] * 0.12);
  else if (KEYS[e.key.toLowerCase()]) KEYS[e.key.toLowerCase()]();
  else return;
  e.preventDefault();
});

byId("apart").addEventListener("input", (e) => setApart(+e.target.value));
byId("cut").addEventListener("input", (e) => setCut(+e.target.value));
for (const button of document.querySelectorAll("[data-plane]")) {
  button.addEventListener("click", () => { seen.fit = -1; setPlane(button.dataset.plane); });
}
byId("flip").addEventListener("click", () => setPlane(seen.plane, seen.normal.map((c) => -c), -seen.cut));
for (const button of document.querySelectorAll("[data-look]")) button.addEventListener("click", () => look(button.dataset.look));
byId("whole").addEventListener("click", whole);
byId("theme").addEventListener("click", otherTheme);
asksDark.addEventListener("change", paint);
canvas.addEventListener("webglcontextlost", () => { quad = null; showPicture(); });
new ResizeObserver(redraw).observe(byId("stage"));

startGl();
restore();
paint();
const told = JSON.parse(byId("design").textContent);
if (told) take(told);
