// Follows a design that is being edited: `pipkin watch` sends it anew after every save and
// for every value that is tried here. Values stay in the page until they are written.
const token = byId("design").dataset.token;
const page = Math.random().toString(36).slice(2);
const root = document.documentElement;
let state = "";
// Values tried here, by name, as they are typed; those of the picture; the wish that waits.
let edits = {}, shownEdits = "{}", waiting = null;

const isEdited = () => Object.keys(edits).length > 0;

function status(text, bad = false) {
  byId("state").textContent = text;
  byId("state").classList.toggle("bad", bad);
  byId("edits").hidden = !isEdited();
}

function edit(name, text) {
  const given = design.givens.find((g) => g.name === name);
  if (text === null || (text === given.text && !(name in edits))) delete edits[name]; else edits[name] = text;
  byId("edits").hidden = !isEdited();
  // A build on its way is waited for, so that a moving slider shows something.
  if (waiting) waiting.abort();
}

// ---- inputs ---------------------------------------------------------------------------
const controls = new Map();
const digits = (step) => Math.max(0, Math.ceil(-Math.log10(step) - 1e-9));

function control(given) {
  const words = make("label", given.name, { for: "given-" + given.name });
  const about = { id: "given-" + given.name, "data-given": given.name };
  const value = make("output", given.text, { for: about.id });
  let input;
  if (given.among.length) {
    input = make("select", "", about);
    for (const text of given.among) input.append(make("option", text, { value: text }));
    input.value = given.text;
    input.addEventListener("change", () => edit(given.name, input.value));
    value.hidden = true;
  } else if (given.span) {
    const [low, high, by] = given.span;
    const step = by || 10 ** Math.floor(Math.log10((high - low) / 100 || 1));
    input = make("input", "", { ...about, type: "range", min: low, max: high, step });
    input.value = given.number;
    input.addEventListener("input", () => {
      const text = (+(+input.value).toFixed(digits(step)) + " " + given.unit).trim();
      value.textContent = text;
      edit(given.name, text);
    });
  } else {
    input = make("input", "", { ...about, type: "text", value: given.text });
    input.addEventListener("change", () => edit(given.name, input.value));
    value.hidden = true;
  }
  input.disabled = given.fixed;
  return { given, input, value, words };
}

const kindOf = (g) => JSON.stringify([g.name, g.docs, g.unit, g.span, g.among, g.fixed]);

// Controls stay as long as their givens do: a slider must not vanish under the hand.
fillGivens = () => {
  const same = controls.size === design.givens.length
    && design.givens.every((g) => controls.has(g.name) && kindOf(controls.get(g.name).given) === kindOf(g));
  if (!same) {
    controls.clear();
    list("inputs", "givens", design.givens.map((given) => {
      const made = control(given), row = make("div", "", { class: "row" });
      controls.set(given.name, made);
      row.append(made.words, made.value);
      const li = item("", row, made.input);
      if (given.docs) li.append(make("small", given.docs));
      return li;
    }));
  }
  for (const given of design.givens) {
    const made = controls.get(given.name);
    made.given = given;
    if (given.name in edits) continue;
    made.input.value = given.span && !given.among.length ? given.number : given.text;
    made.value.textContent = given.text;
  }
};

// ---- the file -------------------------------------------------------------------------
byId("discard").addEventListener("click", () => {
  edits = {};
  if (design) fillGivens();
  byId("edits").hidden = true;
  if (waiting) waiting.abort();
});

byId("write").addEventListener("click", async () => {
  const sets = Object.entries(edits);
  byId("write").disabled = true;
  try {
    const answer = await fetch("write", {
      method: "POST",
      headers: { "Content-Type": "application/json", "X-Pipkin-Token": token },
      body: JSON.stringify({ sets }),
    });
    if (!answer.ok) throw new Error(await answer.text());
    const { refused } = await answer.json();
    if (refused.length) { status("not written: " + refused.join(". "), true); return; }
    for (const [name, text] of sets) if (edits[name] === text) delete edits[name];
    status("written to the file");
    if (waiting) waiting.abort();
  } catch (failure) {
    status("not written: " + failure.message.trim(), true);
  } finally {
    byId("write").disabled = false;
  }
});

// ---- news -----------------------------------------------------------------------------
function tell(news) {
  const errors = news.design.findings.filter((f) => f.severity === "error").length;
  const tried = isEdited() ? ", with values tried here" : "";
  const what = errors ? "mistakes" + tried + "; the picture is the last that could be made" : "shown as saved" + tried;
  const more = news.state.endsWith(".first") ? " · the print is looked at" : "";
  status(news.file + ": " + (errors && news.design.scene ? "mistakes" + tried : what) + " · " + news.millis + " ms" + more, errors > 0);
}

async function ask() {
  const asked = JSON.stringify(edits), stop = new AbortController();
  if (asked === shownEdits && state) waiting = stop;
  const query = new URLSearchParams({ page, seen: state });
  for (const [name, text] of Object.entries(edits)) query.append("set", name + "=" + text);
  const answer = await fetch("design?" + query, { signal: stop.signal, cache: "no-store" });
  if (answer.status === 204) return;
  // Another run has another key.
  if (answer.status === 403) throw new Error("another pipkin watch is running: open the address that it printed");
  if (!answer.ok) throw new Error(await answer.text());
  const news = await answer.json();
  state = news.state;
  shownEdits = asked;
  take(news.design);
  tell(news);
  if (!gl && news.design.scene) still(asked);
  // Drawn before this runs: frames keep the order in which they were asked for.
  requestAnimationFrame(() => { root.dataset.state = state; });
}

function still(asked) {
  const query = new URLSearchParams();
  for (const [name, text] of Object.entries(JSON.parse(asked))) query.append("set", name + "=" + text);
  byId("still").src = "still.png?" + query;
  showPicture();
}

async function followOn() {
  byId("follow").hidden = false;
  status("asking for the design");
  for (;;) {
    try {
      await ask();
    } catch (failure) {
      if (failure.name !== "AbortError") {
        const isGone = failure instanceof TypeError;
        status(isGone ? "no answer from pipkin watch; it is asked again" : failure.message.trim(), true);
        await new Promise((done) => setTimeout(done, 500));
      }
    }
    waiting = null;
  }
}
followOn();
