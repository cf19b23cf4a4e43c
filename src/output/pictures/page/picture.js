// The picture: WebGL2 by hand, an orthographic camera, sections with capped bodies.
const VERTEX = `#version 300 es
in vec3 place; in vec3 normal; in vec3 way;
uniform vec3 right, up, toward, middle; uniform vec2 scale; uniform float apart, depth;
out vec3 n; out vec3 p;
void main() {
  p = place + way * apart;
  vec3 d = p - middle;
  n = vec3(dot(normal, right), dot(normal, up), dot(normal, toward));
  gl_Position = vec4(dot(d, right) * scale.x, dot(d, up) * scale.y, -dot(d, toward) * depth, 1.0);
}`;
// Kinds: 0 a lit face, 1 an edge, 2 the hatched face of a section.
const FRAGMENT = `#version 300 es
precision highp float;
in vec3 n; in vec3 p; out vec4 pixel;
uniform vec3 colour, cutNormal; uniform float cutAt, ratio; uniform int kind, hatch;
void main() {
  if (kind != 2 && dot(p, cutNormal) > cutAt) discard;
  if (kind == 1) { pixel = vec4(colour, 1.0); return; }
  if (kind == 2) {
    vec2 at = gl_FragCoord.xy / ratio;
    float s = hatch % 2 == 0 ? at.x + at.y : at.x - at.y;
    float line = step(1.5, mod(s, hatch % 4 < 2 ? 9.0 : 6.0));
    pixel = vec4(mix(colour * 0.42, mix(colour, vec3(1.0), 0.3), line), 1.0);
    return;
  }
  vec3 m = normalize(n);
  float key = max((dot(m, vec3(-1.0, 2.0, 2.0) / 3.0) + 0.3) / 1.3, 0.0);
  float light = 0.24 + 0.5 * key + 0.12 * max(dot(m, vec3(6.0, 2.0, 3.0) / 7.0), 0.0) + 0.3 * max(m.z, 0.0);
  pixel = vec4(sqrt(colour * colour * light), 1.0);
}`;
const UNIFORMS = ["right", "up", "toward", "middle", "scale", "apart", "depth", "colour", "cutNormal", "cutAt", "ratio", "kind", "hatch"];
const FARTHEST = 0.3, NEAREST = 4000;

const canvas = byId("view");
const gl = canvas.getContext("webgl2", { antialias: true, stencil: true, preserveDrawingBuffer: true });
const at = {};
let bodies = [];
let quad = null;
// What is seen. `plane` is none, x, y, z or fit; `fit` the number of the fit looked at, or -1.
const START = { yaw: 0.6435, pitch: 0.4899, zoom: 1, middle: null, apart: 0, plane: "none", normal: [0, 0, 0], cut: 0, fit: -1 };
let seen = { ...START };
let design = null;
// Names of parts that are not shown, kept while a part is gone for a while.
const hidden = new Set();

function startGl() {
  if (!gl) return false;
  const program = gl.createProgram();
  for (const [type, text] of [[gl.VERTEX_SHADER, VERTEX], [gl.FRAGMENT_SHADER, FRAGMENT]]) {
    const shader = gl.createShader(type);
    gl.shaderSource(shader, text);
    gl.compileShader(shader);
    gl.attachShader(program, shader);
  }
  ["place", "normal", "way"].forEach((name, i) => gl.bindAttribLocation(program, i, name));
  gl.linkProgram(program);
  if (!gl.getProgramParameter(program, gl.LINK_STATUS)) return false;
  gl.useProgram(program);
  for (const name of UNIFORMS) at[name] = gl.getUniformLocation(program, name);
  quad = load(new Float32Array(6 * FLOATS));
  return true;
}

function load(data) {
  const array = gl.createVertexArray(), buffer = gl.createBuffer();
  gl.bindVertexArray(array);
  gl.bindBuffer(gl.ARRAY_BUFFER, buffer);
  gl.bufferData(gl.ARRAY_BUFFER, data, gl.STATIC_DRAW);
  for (let i = 0; i < 3; i++) {
    gl.enableVertexAttribArray(i);
    gl.vertexAttribPointer(i, 3, gl.FLOAT, false, 4 * FLOATS, 12 * i);
  }
  return { array, buffer, count: data.length / FLOATS };
}

function drop(loaded) {
  gl.deleteBuffer(loaded.buffer);
  gl.deleteVertexArray(loaded.array);
}

// Takes new bodies; those that are as they were stay on the graphics card.
function setBodies(list) {
  const same = (a, b) => ["places", "triangles", "pieces"].every((k) => a[k] === b[k])
    && ["low", "high", "ways"].every((k) => String(a[k]) === String(b[k]));
  const old = bodies;
  bodies = list.map((body) => {
    const kept = old.find((b) => b.body.name === body.name && same(b.body, body));
    const made = kept || (() => { const m = meshOf(body); return { faces: load(m.solid), lines: load(m.edges) }; })();
    const colour = body.colour.map((c) => 0.04 + 0.93 * c / 255);
    return { faces: made.faces, lines: made.lines, body, colour };
  });
  for (const gone of old.filter((b) => !bodies.some((n) => n.faces === b.faces))) { drop(gone.faces); drop(gone.lines); }
}

const box = () => {
  const { closed, apart } = design.scene;
  return [0, 1].map((i) => add(closed[i], add(apart[i], closed[i], -1), seen.apart));
};
const middleOf = ([low, high]) => low.map((c, i) => (c + high[i]) / 2);
const radius = () => { const [low, high] = box(); return Math.hypot(...add(high, low, -1)) / 2 || 1; };
const centre = () => seen.middle || middleOf(box());
// mm to half of the smaller side of the canvas
const perMm = () => seen.zoom / (1.05 * radius());

function axes() {
  const [sy, cy, sp, cp] = [Math.sin(seen.yaw), Math.cos(seen.yaw), Math.sin(seen.pitch), Math.cos(seen.pitch)];
  const toward = [sy * cp, -cy * cp, sp], right = [cy, sy, 0];
  return { right, toward, up: cross(toward, right) };
}

let asked = false;
function redraw() {
  if (asked || !design || !design.scene || canvas.hidden) return;
  asked = true;
  requestAnimationFrame(() => { asked = false; draw(); keepSoon(); });
}

function draw() {
  const ratio = window.devicePixelRatio || 1;
  const width = Math.max(1, Math.round(canvas.clientWidth * ratio)), height = Math.max(1, Math.round(canvas.clientHeight * ratio));
  if (canvas.width !== width || canvas.height !== height) { canvas.width = width; canvas.height = height; }
  gl.viewport(0, 0, width, height);
  const paper = getComputedStyle(byId("stage")).backgroundColor.match(/[\d.]+/g).map((c) => c / 255);
  gl.clearColor(paper[0], paper[1], paper[2], 1);
  gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT | gl.STENCIL_BUFFER_BIT);
  gl.enable(gl.DEPTH_TEST);
  const { right, up, toward } = axes(), k = perMm(), small = Math.min(width, height);
  gl.uniform3fv(at.right, right);
  gl.uniform3fv(at.up, up);
  gl.uniform3fv(at.toward, toward);
  gl.uniform3fv(at.middle, centre());
  gl.uniform2f(at.scale, k * small / width, k * small / height);
  gl.uniform1f(at.depth, 1 / (Math.hypot(...add(centre(), middleOf(box()), -1)) + 2 * radius()));
  gl.uniform1f(at.apart, seen.apart);
  gl.uniform1f(at.ratio, ratio);
  const cutting = seen.plane !== "none";
  gl.uniform3fv(at.cutNormal, cutting ? seen.normal : [0, 0, 0]);
  gl.uniform1f(at.cutAt, cutting ? seen.cut : 1);
  const shown = bodies.filter((b) => !hidden.has(b.body.name));
  // Faces give way to their own edges.
  gl.enable(gl.POLYGON_OFFSET_FILL);
  gl.polygonOffset(1, 1);
  gl.enable(gl.CULL_FACE);
  gl.uniform1i(at.kind, 0);
  for (const body of shown) {
    gl.uniform3fv(at.colour, body.colour);
    gl.bindVertexArray(body.faces.array);
    gl.drawArrays(gl.TRIANGLES, 0, body.faces.count);
  }
  gl.disable(gl.CULL_FACE);
  if (cutting) shown.forEach(cap);
  gl.disable(gl.POLYGON_OFFSET_FILL);
  gl.uniform1i(at.kind, 1);
  for (const body of shown) {
    const bright = 0.3 * body.colour[0] + 0.6 * body.colour[1] + 0.1 * body.colour[2];
    gl.uniform3fv(at.colour, body.colour.map((c) => (bright > 0.2 ? c * 0.45 : c + (0.75 - c) * 0.6)));
    gl.bindVertexArray(body.lines.array);
    gl.drawArrays(gl.LINES, 0, body.lines.count);
  }
  drawMarks(right, up, k * small / 2 / ratio);
}

// The cut face of one body: where the plane lies inside it, back faces that the plane
// leaves over outnumber front faces.
function cap(body) {
  const n = seen.normal, far = 3 * radius(), middle = middleOf(box());
  const u = unit(Math.abs(n[2]) > 0.9 ? [1, 0, 0] : cross([0, 0, 1], n)), v = cross(n, u);
  const home = add(middle, n, seen.cut - dot(middle, n));
  const data = new Float32Array(6 * FLOATS);
  [[-1, -1], [1, -1], [1, 1], [-1, -1], [1, 1], [-1, 1]].forEach(([a, b], i) => {
    data.set([...add(add(home, u, a * far), v, b * far), ...n, 0, 0, 0], FLOATS * i);
  });
  gl.enable(gl.STENCIL_TEST);
  gl.clear(gl.STENCIL_BUFFER_BIT);
  gl.colorMask(false, false, false, false);
  gl.depthMask(false);
  gl.disable(gl.DEPTH_TEST);
  gl.uniform1i(at.kind, 0);
  gl.stencilFunc(gl.ALWAYS, 0, 255);
  gl.stencilOpSeparate(gl.BACK, gl.KEEP, gl.KEEP, gl.INCR_WRAP);
  gl.stencilOpSeparate(gl.FRONT, gl.KEEP, gl.KEEP, gl.DECR_WRAP);
  gl.bindVertexArray(body.faces.array);
  gl.drawArrays(gl.TRIANGLES, 0, body.faces.count);
  gl.colorMask(true, true, true, true);
  gl.depthMask(true);
  gl.enable(gl.DEPTH_TEST);
  gl.stencilFunc(gl.NOTEQUAL, 0, 255);
  gl.stencilOp(gl.KEEP, gl.KEEP, gl.KEEP);
  gl.uniform1i(at.kind, 2);
  gl.uniform1i(at.hatch, bodies.indexOf(body));
  gl.uniform1f(at.apart, 0);
  gl.uniform3fv(at.colour, body.colour);
  gl.bindVertexArray(quad.array);
  gl.bindBuffer(gl.ARRAY_BUFFER, quad.buffer);
  gl.bufferData(gl.ARRAY_BUFFER, data, gl.DYNAMIC_DRAW);
  gl.drawArrays(gl.TRIANGLES, 0, 6);
  gl.uniform1f(at.apart, seen.apart);
  gl.disable(gl.STENCIL_TEST);
}

// Where the least gaps are; the one that is looked at with its two ends.
function drawMarks(right, up, pixels) {
  const onScreen = (p) => {
    const d = add(p, centre(), -1);
    return [canvas.clientWidth / 2 + dot(d, right) * pixels, canvas.clientHeight / 2 - dot(d, up) * pixels];
  };
  const found = [];
  design.fits.forEach((fit, i) => {
    if (!fit.at || seen.apart > 0 || fit.parts.every((name) => hidden.has(name))) return;
    const [x, y] = onScreen(fit.at), pressed = i === seen.fit;
    if (pressed) {
      const [a, b] = [-0.5, 0.5].map((t) => onScreen(add(fit.at, fit.across, t)));
      const line = make("div", "", { class: "span" });
      line.style.left = a[0] + "px";
      line.style.top = a[1] - 1 + "px";
      line.style.width = Math.hypot(b[0] - a[0], b[1] - a[1]) + "px";
      line.style.transform = "rotate(" + Math.atan2(b[1] - a[1], b[0] - a[0]) + "rad)";
      found.push(line);
    }
    const mark = make("button", "", { class: "mark", "data-mark": i, "aria-pressed": pressed, "aria-label": fit.title + ", least gap " + fit.label });
    mark.append(make("b", pressed ? fit.label : fit.title + " " + fit.label));
    mark.style.left = x + "px";
    mark.style.top = y + "px";
    mark.addEventListener("click", () => goToFit(i));
    found.push(mark);
  });
  const focused = document.activeElement && document.activeElement.dataset.mark;
  byId("marks").replaceChildren(...found);
  const again = focused && byId("marks").querySelector('[data-mark="' + focused + '"]');
  if (again) again.focus();
}

// ---- moving about ------------------------------------------------------------------
const NORMALS = { x: [1, 0, 0], y: [0, -1, 0], z: [0, 0, 1], none: [0, 0, 0] };

// Least and greatest place of a section along its normal.
function cutSpan() {
  const corners = box();
  let [low, high] = [Infinity, -Infinity];
  for (let i = 0; i < 8; i++) {
    const d = dot([corners[i & 1][0], corners[(i >> 1) & 1][1], corners[i >> 2][2]], seen.normal);
    [low, high] = [Math.min(low, d), Math.max(high, d)];
  }
  return [low, high];
}

function setPlane(plane, normal = NORMALS[plane], cut) {
  Object.assign(seen, { plane, normal: [...normal] });
  const [low, high] = cutSpan();
  seen.cut = cut ?? (low + high) / 2;
  show();
}

function setCut(share) {
  const [low, high] = cutSpan();
  seen.cut = low + (high - low) * clamp(share, 0, 1);
  show();
}

const cutShare = () => { const [low, high] = cutSpan(); return high > low ? (seen.cut - low) / (high - low) : 0.5; };

function setApart(apart) { Object.assign(seen, { apart: clamp(apart, 0, 1), fit: -1 }); show(); }

function turn(dx, dy) {
  seen.yaw -= dx;
  seen.pitch = clamp(seen.pitch + dy, -Math.PI / 2, Math.PI / 2);
  redraw();
}

function move(dx, dy) {
  const { right, up } = axes(), k = 2 / (perMm() * Math.min(canvas.clientWidth, canvas.clientHeight));
  seen.middle = add(add(centre(), right, -dx * k), up, dy * k);
  redraw();
}

// Zooms about a point of the canvas.
function zoom(by, x = canvas.clientWidth / 2, y = canvas.clientHeight / 2) {
  const before = perMm();
  seen.zoom = clamp(seen.zoom * by, FARTHEST, NEAREST);
  const k = 2 * (1 / before - 1 / perMm()) / Math.min(canvas.clientWidth, canvas.clientHeight);
  const { right, up } = axes();
  seen.middle = add(add(centre(), right, (x - canvas.clientWidth / 2) * k), up, (canvas.clientHeight / 2 - y) * k);
  redraw();
}

const LOOKS = { front: [0, 0], side: [Math.PI / 2, 0], top: [0, Math.PI / 2] };
function look(name) { [seen.yaw, seen.pitch] = LOOKS[name]; redraw(); }
function whole() { Object.assign(seen, { yaw: START.yaw, pitch: START.pitch, zoom: 1, middle: null, fit: -1 }); show(); }

// To the least gap of a fit: cut so that its true width shows, looked at square.
function goToFit(i) {
  const fit = design.fits[i];
  if (!fit || !fit.at) return;
  const across = unit(fit.across), out = unit([fit.at[0], fit.at[1], 0]);
  const along = [out, [0, 0, 1], [1, 0, 0]].find((v) => Math.hypot(...cross(across, v)) > 0.3);
  let normal = unit(cross(across, along));
  if (dot(normal, [0.5, -0.8, 0.4]) < 0) normal = normal.map((c) => -c);
  const level = Math.abs(normal[2]) > 0.999;
  Object.assign(seen, { apart: 0, fit: i, middle: fit.at });
  Object.assign(seen, {
    yaw: level ? 0 : Math.atan2(normal[0], -normal[1]),
    pitch: level ? Math.sign(normal[2]) * Math.PI / 2 : Math.asin(clamp(normal[2], -1, 1)),
    zoom: clamp(1.05 * radius() / Math.max(8 * Math.hypot(...fit.across), 1.5), FARTHEST, NEAREST),
  });
  for (const name of fit.parts) hidden.delete(name);
  // Columns and brims are gone by the time that parts go together.
  for (const { body } of bodies) if (["props", "brim"].includes(body.kind)) hidden.add(body.name);
  setPlane("fit", normal, dot(fit.at, normal));
  say(fit.title + ", least gap " + fit.label);
}

// To one part, filling the picture.
function goToPart(name) {
  const found = bodies.find((b) => b.body.name === name);
  if (!found) return;
  hidden.delete(name);
  const { low, high, ways } = found.body;
  const half = Math.hypot(...add(high, low, -1)) / 2 || 1;
  Object.assign(seen, { fit: -1, middle: add(middleOf([low, high]), ways[0], seen.apart), zoom: clamp(radius() / half, FARTHEST, NEAREST) });
  show();
}

// ---- what is seen survives a reload --------------------------------------------------
let keeping = 0;
function keepSoon() { clearTimeout(keeping); keeping = setTimeout(keep, 250); }
function keep() {
  const numbers = [seen.yaw, seen.pitch, seen.zoom, seen.apart, ...seen.normal, seen.cut, ...(seen.middle || [])];
  const text = [numbers.map((c) => +c.toFixed(5)).join(), seen.plane, seen.fit, [...hidden].map(encodeURIComponent).join()].join(";");
  // Some browsers forbid it for files.
  try { history.replaceState(null, "", "#" + text); } catch { /* then nothing is kept */ }
}
function restore() {
  const [numbers, plane, fit, names] = location.hash.slice(1).split(";");
  const n = (numbers || "").split(",").map(Number);
  if (![8, 11].includes(n.length) || !n.every(Number.isFinite)) return;
  Object.assign(seen, { yaw: n[0], pitch: clamp(n[1], -1.571, 1.571), zoom: clamp(n[2], FARTHEST, NEAREST), apart: clamp(n[3], 0, 1) });
  Object.assign(seen, { normal: n.slice(4, 7), cut: n[7], middle: n.length === 11 ? n.slice(8) : null });
  seen.plane = plane in NORMALS || plane === "fit" ? plane : "none";
  seen.fit = Number.isInteger(+fit) ? +fit : -1;
  for (const name of (names || "").split(",").filter(Boolean)) hidden.add(decodeURIComponent(name));
}
