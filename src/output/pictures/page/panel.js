// The panel: what the design says of itself, and the controls of the picture.
const say = (text) => { byId("said").textContent = text; };

// Fills a list, and shows its section where there is anything in it.
function list(section, id, items) {
  byId(section).hidden = items.length === 0;
  byId(id).replaceChildren(...items);
}

function item(tag, ...children) {
  const li = make("li", "", tag ? { class: tag } : {});
  li.append(...children);
  return li;
}

// Takes a design, the first or a newer one; where nothing could be made of it, the last
// picture stays.
function take(next) {
  const scene = next.scene || (design && design.scene);
  const keep = (key) => (next.scene || next[key].length || !design ? next[key] : design[key]);
  design = { ...next, scene, fits: keep("fits"), givens: keep("givens") };
  document.title = design.title;
  byId("title").textContent = design.title;
  byId("about").textContent = design.size ? "size " + design.size : "";
  byId("origin").textContent = design.origin.join(" · ");
  fillFindings(next);
  list("ruling", "rules", design.rules.map((rule) => item(rule.holds ? "" : "fails", rule.text)));
  list("care", "cautions", design.cautions.map((text) => item("", text)));
  if (seen.fit >= 0 && !(design.fits[seen.fit] || {}).at) seen.fit = -1;
  if (next.scene && gl) setBodies(next.scene.bodies);
  fillParts();
  fillFits();
  fillGivens();
  showPicture();
  show();
}

function showPicture() {
  const drawn = Boolean(gl && quad && design.scene);
  canvas.hidden = !drawn;
  byId("looks").hidden = !drawn;
  byId("controls").hidden = !drawn;
  byId("still").hidden = drawn || !byId("still").hasAttribute("src");
  byId("blank").hidden = drawn || !byId("still").hidden;
  byId("blank").textContent = design.scene
    ? "This browser has no WebGL; the figures beside are right all the same."
    : "Nothing could be made yet: see the findings.";
}

function fillParts() {
  const scene = design.scene;
  canvas.setAttribute("aria-label", "picture of " + design.title + (scene ? ": " + scene.bodies.map((b) => b.name).join(", ") : ""));
  list("controls", "parts", (scene ? scene.bodies : []).map((body) => {
    const label = make("label"), tick = make("input", "", { type: "checkbox", "data-part": body.name });
    const swatch = make("span", "", { class: "swatch " + body.kind }), words = make("span", body.name);
    swatch.style.background = "rgb(" + body.colour.join() + ")";
    words.append(make("small", body.note));
    tick.addEventListener("change", () => {
      if (tick.checked) hidden.delete(body.name); else hidden.add(body.name);
      redraw();
    });
    label.append(tick, swatch, words);
    const only = make("button", "only", { "aria-label": "show only " + body.name });
    only.addEventListener("click", () => {
      const names = scene.bodies.map((b) => b.name), alone = names.every((n) => hidden.has(n) === (n !== body.name));
      for (const name of names) if (alone || name === body.name) hidden.delete(name); else hidden.add(name);
      show();
    });
    return item("", label, only);
  }));
}

function fillFits() {
  list("fitting", "fits", design.fits.map((fit, i) => {
    const line = fit.at && gl ? make("button", fit.title, { "data-fit": i }) : make("div", fit.title);
    line.append(make("small", fit.text));
    if (line.dataset.fit) line.addEventListener("click", () => goToFit(i));
    return item("", line);
  }));
}

function fillFindings(next) {
  const items = next.findings.map((finding) => {
    const head = make("span");
    head.append(make("b", finding.severity + " " + finding.code), " " + finding.message);
    const li = item(finding.severity, head, ...finding.excerpts.map(excerpt));
    for (const text of finding.help) li.append(make("p", "help: " + text));
    for (const text of finding.notes) li.append(make("p", "note: " + text));
    if (gl && design.scene && (finding.fit !== null || finding.part !== null)) {
      const go = make("button", "show " + (finding.fit !== null ? "the gap" : finding.part), { class: "about" });
      go.addEventListener("click", () => (finding.fit !== null ? goToFit(finding.fit) : goToPart(finding.part)));
      li.append(go);
    }
    return li;
  });
  if (next.more_findings) items.push(item("", "and " + next.more_findings + " more"));
  list("trouble", "findings", items);
}

// The lines that a finding is about, its places marked.
function excerpt(found) {
  const pre = make("pre", "", { tabindex: 0, "aria-label": "lines of " + found.file });
  pre.append(make("i", found.file + ":" + found.line + ":" + found.column + "\n"));
  const wide = String(Math.max(...found.lines.map((line) => line.number))).length;
  found.lines.forEach((line, i) => {
    if (i && found.lines[i - 1].number + 1 < line.number) pre.append(make("i", "…\n"));
    pre.append(make("i", String(line.number).padStart(wide) + "  "));
    for (const [text, mark] of line.pieces) {
      pre.append(mark ? make("mark", text, mark === 2 ? { class: "other" } : {}) : text);
    }
    if (line.words.length) pre.append(make("em", "  ← " + line.words.join("; ")));
    pre.append("\n");
  });
  return pre;
}

// Inputs as they are; the page of a server puts sliders in their place.
let fillGivens = () => {
  list("inputs", "givens", design.givens.map((given) => {
    const row = make("div", "", { class: "row" });
    row.append(make("span", given.name), make("output", given.text));
    const li = item("", row);
    if (given.docs) li.append(make("small", given.docs));
    return li;
  }));
};

// Panel and picture follow what is seen.
function show() {
  if (!design || !design.scene) return;
  byId("apart").value = seen.apart;
  byId("cut").value = cutShare();
  const none = seen.plane === "none";
  byId("cut").disabled = none;
  byId("flip").disabled = none;
  byId("cut-at").textContent = none ? "" : seen.cut.toFixed(2) + " mm";
  for (const button of document.querySelectorAll("[data-plane]")) {
    button.setAttribute("aria-pressed", button.dataset.plane === seen.plane);
  }
  for (const button of document.querySelectorAll("[data-fit]")) {
    button.setAttribute("aria-pressed", +button.dataset.fit === seen.fit);
  }
  for (const tick of document.querySelectorAll("[data-part]")) tick.checked = !hidden.has(tick.dataset.part);
  redraw();
}

// ---- light and dark --------------------------------------------------------------------
const asksDark = matchMedia("(prefers-color-scheme: dark)");
let chosen = null;
// Where nothing may be stored, the choice lasts as long as the page.
try { chosen = localStorage.getItem("pipkin-theme"); } catch { /* as said */ }
const theme = () => (["light", "dark"].includes(chosen) ? chosen : asksDark.matches ? "dark" : "light");
function paint() {
  document.documentElement.dataset.theme = theme();
  redraw();
}
function otherTheme() {
  chosen = theme() === "dark" ? "light" : "dark";
  try { localStorage.setItem("pipkin-theme", chosen); } catch { /* as said */ }
  paint();
  say(chosen);
}
