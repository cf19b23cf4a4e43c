// Vectors, elements, and meshes as they are drawn. Lengths in mm.
const byId = (id) => document.getElementById(id);
const dot = (a, b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
const cross = (a, b) => [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
const unit = (a) => { const l = Math.hypot(...a) || 1; return a.map((c) => c / l); };
const add = (a, b, t = 1) => [a[0] + b[0] * t, a[1] + b[1] * t, a[2] + b[2] * t];
const clamp = (x, low, high) => Math.min(high, Math.max(low, x));
const make = (tag, text, attributes = {}) => {
  const element = document.createElement(tag);
  if (text) element.textContent = text;
  for (const [name, value] of Object.entries(attributes)) element.setAttribute(name, value);
  return element;
};
// Plain loops and square roots here and below: a design is read anew for every value tried.
const bytesOf = (text) => {
  const raw = atob(text), bytes = new Uint8Array(raw.length);
  for (let i = 0; i < raw.length; i++) bytes[i] = raw.charCodeAt(i);
  return bytes.buffer;
};

// Neighbours whose normals turn by less than this cosine (about 35 deg) are shaded as one.
const CREASE = 0.82;
// Floats to a corner: place, normal, way in the exploded view.
const FLOATS = 9;

// Triangles with smooth normals, and the edges at which the surface turns sharply.
function meshOf(body) {
  const steps = new Uint16Array(bytesOf(body.places));
  const Numbers = body.wide ? Uint32Array : Uint16Array;
  const corners = new Numbers(bytesOf(body.triangles));
  const pieces = body.pieces ? new Numbers(bytesOf(body.pieces)) : null;
  const count = steps.length / 3, faces = corners.length / 3;
  const place = new Float32Array(steps.length);
  for (let i = 0; i < steps.length; i++) {
    const low = body.low[i % 3], high = body.high[i % 3];
    place[i] = low + (high - low) * steps[i] / 65535;
  }
  // Normals as long as twice the area, and of length 1.
  const wide = new Float32Array(3 * faces), flat = new Float32Array(3 * faces);
  const starts = new Uint32Array(count + 1);
  for (let f = 0; f < faces; f++) {
    const a = 3 * corners[3 * f], b = 3 * corners[3 * f + 1], c = 3 * corners[3 * f + 2];
    const ux = place[b] - place[a], uy = place[b + 1] - place[a + 1], uz = place[b + 2] - place[a + 2];
    const vx = place[c] - place[a], vy = place[c + 1] - place[a + 1], vz = place[c + 2] - place[a + 2];
    const nx = uy * vz - uz * vy, ny = uz * vx - ux * vz, nz = ux * vy - uy * vx;
    const length = Math.sqrt(nx * nx + ny * ny + nz * nz) || 1;
    wide[3 * f] = nx; wide[3 * f + 1] = ny; wide[3 * f + 2] = nz;
    flat[3 * f] = nx / length; flat[3 * f + 1] = ny / length; flat[3 * f + 2] = nz / length;
    starts[a / 3 + 1]++; starts[b / 3 + 1]++; starts[c / 3 + 1]++;
  }
  for (let v = 0; v < count; v++) starts[v + 1] += starts[v];
  const next = starts.slice(), around = new Uint32Array(corners.length);
  for (let i = 0; i < corners.length; i++) around[next[corners[i]]++] = (i / 3) | 0;
  const turn = (f, g) => flat[3 * f] * flat[3 * g] + flat[3 * f + 1] * flat[3 * g + 1] + flat[3 * f + 2] * flat[3 * g + 2];
  const put = (target, at, v, x, y, z) => {
    const way = body.ways[pieces ? pieces[v] : 0];
    for (let k = 0; k < 3; k++) { target[at + k] = place[3 * v + k]; target[at + 6 + k] = way[k]; }
    target[at + 3] = x; target[at + 4] = y; target[at + 5] = z;
  };
  const solid = new Float32Array(corners.length * FLOATS), sharp = [];
  for (let i = 0; i < corners.length; i++) {
    const f = (i / 3) | 0, v = corners[i], w = corners[3 * f + (i + 1) % 3];
    let x = 0, y = 0, z = 0;
    for (let j = starts[v]; j < starts[v + 1]; j++) {
      const g = around[j];
      if (g === f || turn(f, g) > CREASE) { x += wide[3 * g]; y += wide[3 * g + 1]; z += wide[3 * g + 2]; }
      // Each edge once, at the triangle with the lower number.
      if (g > f && (corners[3 * g] === w || corners[3 * g + 1] === w || corners[3 * g + 2] === w) && turn(f, g) < CREASE) sharp.push(v, w);
    }
    const length = Math.sqrt(x * x + y * y + z * z) || 1;
    put(solid, FLOATS * i, v, x / length, y / length, z / length);
  }
  const edges = new Float32Array(sharp.length * FLOATS);
  for (let i = 0; i < sharp.length; i++) put(edges, FLOATS * i, sharp[i], 0, 0, 1);
  return { solid, edges };
}
