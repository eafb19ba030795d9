// Talk with the server that keeps this page. One request at a time; long ones tell their step.
const busy = document.getElementById("busy");
const step = document.getElementById("step");
const said = document.getElementById("said");
const LOOK = 400; // ms between two looks at what is being done
let queue = Promise.resolve();
let turn = 0;

// The state that the last answer told of; every change names it.
export const now = () => turn;

export function say(words) {
  said.textContent = words;
  said.hidden = !words;
}

// The state that an answer leads to: answers to changes hold only what is new. Null when another state is shown.
export function grown(state, told) {
  if (told.since === undefined) return told;
  if (!state || state.turn !== told.since) return null;
  const next = { ...state, ...told };
  for (const [key, rows] of Object.entries(told.rows)) next[key] = state[key].map((row, k) => rows[k] ?? row);
  for (const [key, runs] of Object.entries(told.runs))
    next[key] = runs.flatMap((run) => (Array.isArray(run) ? state[key].slice(run[0], run[0] + run[1]) : [run]));
  return next;
}

export async function get(name) {
  const told = await (await fetch(name)).json();
  turn = told.turn ?? turn;
  return told;
}

function working(words) {
  step.textContent = words ? `Working: ${words} ...` : "Working ...";
  busy.hidden = false;
}

// Work that was begun before this page was loaded is told until it ends; true when there was any.
export async function underway() {
  let any = false;
  try {
    for (;;) {
      const { step: words } = await get("step");
      if (!words) return any;
      any = true;
      working(words);
      await new Promise((done) => { setTimeout(done, LOOK); });
    }
  } catch {
    return any;
  } finally {
    busy.hidden = true;
  }
}

async function watched(request) {
  const watch = setInterval(async () => {
    try {
      working((await get("step")).step);
    } catch {
      busy.hidden = true;
    }
  }, LOOK);
  try {
    return await request;
  } finally {
    clearInterval(watch);
    busy.hidden = true;
  }
}

async function answered(request) {
  try {
    const answer = await watched(request);
    const type = answer.headers.get("content-type") ?? "";
    if (!type.startsWith("application/json")) {
      say(answer.status === 403 ? (await answer.text()).trim() : "The program behind this page has met a fault; its terminal says more.");
      return null;
    }
    const told = await answer.json();
    turn = told.turn ?? turn;
    say(told.wrong ?? told.said ?? "");
    return told;
  } catch {
    say("The program behind this page has ended. Your work is kept; start filigree page again.");
    return null;
  }
}

function inTurn(work) {
  queue = queue.then(work);
  return queue;
}

// `value` is a function, so that it names the state that is shown when its turn comes; null sends nothing.
export function send(name, value) {
  return inTurn(() => {
    const asked = value();
    return asked && answered(fetch(name, { method: "POST", body: JSON.stringify(asked) }));
  });
}

export function upload(address, file) {
  return inTurn(() => answered(fetch(address(), { method: "POST", body: file })));
}

document.getElementById("stop").addEventListener("click", () => fetch("stop", { method: "POST" }));
