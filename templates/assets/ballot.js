// Comfort for a taster's phone. Every page works without it; with it, answers stay on the phone until
// the server has them, and the sets of a sitting follow one another without the network.
(() => {
  const main = document.querySelector("main");
  const shelf = `evenpour ${main.dataset.shelf} `;
  const byId = (id) => document.getElementById(id);
  const sections = [...document.querySelectorAll(".set")];
  const [status, review, done, told] = ["status", "review", "done", "told"].map(byId);
  const words = document.querySelector("[data-not-set]")?.dataset;
  const received = new Set();
  let csrf = document.querySelector("[name=_csrf]")?.value;
  let reviewed = null;
  let current = null;
  let shownAt = 0;
  let sending = false;
  let offline = false;
  let pause = 1000;
  const rest = byId("rest");
  let counting = 0;
  let restPhase = null;

  if ("refreshes" in main.dataset) return lookAgain();
  try {
    localStorage.setItem(`${shelf}try`, "1");
    localStorage.removeItem(`${shelf}try`);
  } catch {
    return; // Storage refused: the plain forms remain.
  }

  // Each set lies on its own shelf, so that two open pages can't wipe each other's answers.
  const keep = (set, state, body) =>
    localStorage.setItem(shelf + set, JSON.stringify({ state, body }));
  const kept = (set) => JSON.parse(localStorage.getItem(shelf + set) ?? "{}");
  const drop = (set) => localStorage.removeItem(shelf + set);
  const inState = (...states) =>
    Object.keys(localStorage)
      .filter((key) => key.startsWith(shelf))
      .map((key) => key.slice(shelf.length))
      .filter((set) => states.includes(kept(set).state))
      .sort((left, right) => left - right);
  const wipe = (sets) => sets.forEach(drop);
  const isOpen = ({ dataset: { set } }) =>
    !received.has(set) && !["waiting", "refused", "late"].includes(kept(set).state);

  document
    .querySelector('form[action="/taste/stop"]')
    ?.addEventListener("submit", () =>
      wipe([...inState("draft", "waiting", "refused", "late"), "locked"]),
    );
  for (const input of document.querySelectorAll("#plain .score input")) addSlider(input);
  // A page without a place for what waits is a plain one: nothing is sent or told there.
  if (!byId("unsent")) return;
  for (const section of sections) prepare(section);
  if (done)
    wipe(inState("draft").filter((set) => sections.every((one) => one.dataset.set !== set)));
  review?.querySelector("#lock").addEventListener("click", lock);
  review?.querySelector("#change").addEventListener("click", () => turn(null));
  for (const event of ["online", "storage", "pageshow"]) addEventListener(event, send);
  document.addEventListener("visibilitychange", send);
  tell(sessionStorage.getItem(shelf));
  sessionStorage.removeItem(shelf);
  show();
  send();
  if (main.dataset.stamp) setInterval(follow, 5000);

  function prepare(section) {
    const form = section.querySelector("form");
    const { set } = section.dataset;
    form.querySelector("h1").tabIndex = -1;
    const { state, body } = kept(set);
    if (rest)
      form.append(
        Object.assign(document.createElement("input"), { type: "hidden", name: "rested" }),
      );
    if (state === "draft") restore(form, body);
    for (const input of form.querySelectorAll(".score input")) addSlider(input);
    form.addEventListener("input", ({ target }) => {
      if (rest) endRest(section);
      if (isOpen(section)) keep(set, "draft", bodyOf(form));
      settle(target);
    });
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      if (isComplete(form)) turn(section);
    });
  }

  function bodyOf(form) {
    const fields = new URLSearchParams(new FormData(form));
    fields.delete("_csrf");
    return fields.toString();
  }

  function restore(form, body) {
    for (const [name, value] of new URLSearchParams(body)) {
      const field = form.elements.namedItem(name);
      if (field && name !== "key") field.value = value;
    }
  }

  // The number is the answer; the slider writes it when it is touched, so an untouched one is no answer.
  function addSlider(input) {
    const range = document.createElement("input");
    const name = input.labels[0].querySelector(".sr").textContent;
    Object.assign(range, { type: "range", min: 0, max: 100, ariaLabel: name });
    range.setAttribute("aria-label", name);
    const follow = () => {
      range.value = input.value === "" ? 50 : input.value;
      range.classList.toggle("unset", input.value === "");
      range.setAttribute("aria-valuetext", input.value || words.notSet);
    };
    const take = () => {
      input.value = range.value;
      input.dispatchEvent(new Event("input", { bubbles: true }));
    };
    range.addEventListener("input", take);
    range.addEventListener("click", take);
    range.addEventListener("keydown", (event) => {
      if (event.key !== "Enter" && event.key !== " ") return;
      event.preventDefault();
      take();
    });
    input.addEventListener("input", follow);
    input.after(range);
    follow();
  }

  function isComplete(form) {
    const wrong = [];
    for (const tiles of form.querySelectorAll(".tiles")) {
      const chosen = tiles.querySelector(":checked");
      mark(tiles.closest("fieldset"), tiles.previousElementSibling, !chosen);
      if (!chosen) wrong.push(tiles.querySelector("input"));
    }
    for (const input of form.querySelectorAll(".score input[name]")) {
      input.value = input.value.trim();
      const isScore = /^\d{1,3}$/.test(input.value) && input.value <= 100;
      const message = byId(`${input.id}-error`);
      message.textContent = scoreComplaint(input);
      mark(input, message, !isScore);
      if (!isScore) wrong.push(input);
    }
    wrong[0]?.focus();
    return wrong.length === 0;
  }

  function scoreComplaint({ value, labels }) {
    const code = labels[0].querySelector(".code").textContent;
    return (value === "" ? words.setScore : words.notAScore).replace("{code}", code);
  }

  /** What was missing is there now: takes the message away. */
  function settle(field) {
    const score = field.closest(".score");
    const place = score ?? field.closest("fieldset");
    const message = place?.querySelector(".error");
    if (message) mark(score ? score.querySelector("input") : place, message, false);
  }

  function mark(element, message, isWrong) {
    message.hidden = !isWrong;
    if (isWrong) element.setAttribute("aria-describedby", message.id);
    else element.removeAttribute("aria-describedby");
    if (element.matches("input")) element.ariaInvalid = String(isWrong);
  }

  function turn(section) {
    reviewed = section;
    if (section) fillReview(section);
    show();
    (section ? review : current)?.querySelector("h1").focus();
    scrollTo(0, 0);
  }

  function fillReview(section) {
    review.querySelector("h1").textContent = section.dataset.review;
    const list = review.querySelector("dl");
    list.replaceChildren();
    const add = (kind, text, name = "") =>
      list.append(
        Object.assign(document.createElement(kind), { textContent: text, className: name }),
      );
    for (const question of section.querySelectorAll("fieldset")) {
      add("dt", question.querySelector("legend").textContent);
      const chosen = question.querySelector(":checked");
      if (chosen) add("dd", chosen.labels[0].textContent, chosen.parentElement.className);
      for (const score of question.querySelectorAll(".score")) {
        const code = score.querySelector(".code").textContent;
        add("dd", `${code}: ${score.querySelector("input").value}`);
      }
    }
    const comment = section.querySelector("textarea").value.trim();
    if (comment) add("dt", words.comment);
    if (comment) add("dd", comment, "words");
  }

  function lock() {
    const { set } = reviewed.dataset;
    const seconds = Math.round((Date.now() - shownAt) / 1000);
    const body = bodyOf(reviewed.querySelector("form"));
    keep(set, "waiting", `${body}&step=lock&seconds=${seconds}&at=${Date.now()}`);
    if (rest) localStorage.setItem(`${shelf}locked`, JSON.stringify({ at: Date.now(), set }));
    tell("");
    turn(null);
    if (!current) done.querySelector("h1").focus();
    send();
  }

  function show() {
    const open = sections.filter(isOpen);
    if (open[0] !== current) shownAt = Date.now();
    current = open[0] ?? null;
    if (reviewed !== current) reviewed = null;
    for (const section of sections) section.hidden = section !== current || reviewed !== null;
    if (review) review.hidden = reviewed === null;
    const waiting = inState("waiting");
    const refused = inState("refused");
    const late = inState("late");
    if (done) {
      done.hidden = current !== null;
      byId("all").hidden = waiting.length + refused.length + late.length > 0;
      document.title = (reviewed ? review : (current ?? done)).querySelector("h1").textContent;
    }
    showStatus(open.length, waiting.length + refused.length);
    showUnsent(waiting, refused, late);
    if (rest) countRest();
  }

  // The first touch of a set ends the rest before it; what is kept is how long that really was.
  function endRest(section) {
    const since = restingSince(section);
    if (since) section.querySelector("[name=rested]").value = secondsSince(since);
    countRest();
  }

  /** When the set before was locked; nothing once this one was touched, nor for one to be mended. */
  function restingSince(section) {
    const { at, set } = kept("locked");
    return set !== section.dataset.set && !section.querySelector("[name=rested]").value && at;
  }

  // Tells the rest that is left and hurries nobody: the set lies open below. Aloud only at start and end.
  function countRest() {
    clearTimeout(counting);
    const since = current && !reviewed && restingSince(current);
    const seconds = since ? Math.max(0, rest.dataset.seconds - secondsSince(since)) : 0;
    if (seconds) counting = setTimeout(countRest, 1000);
    const phase = seconds ? "left" : since && restPhase && "over";
    rest.hidden = !phase;
    if (phase) rest.firstChild.textContent = rest.dataset[phase].replace("{seconds}", seconds);
    if (phase !== restPhase) byId("rest-told").textContent = phase ? rest.textContent : "";
    restPhase = phase;
  }

  function secondsSince(at) {
    return Math.max(0, Math.round((Date.now() - at) / 1000));
  }

  function showStatus(open, waiting) {
    if (!status) return;
    const { total, says, unreached } = status.dataset;
    // What waited here may be among those that the page was made with as received.
    const arrived = sections.filter(({ dataset: { set } }) => received.has(set)).length;
    const count = Number(status.dataset.received) + arrived;
    const values = { answered: total - open, sets: total, received: count, waiting };
    const words = offline && inState("waiting").length > 0 ? unreached : says;
    const text = words.replace(/\{(\w+)\}/g, (_, name) => values[name]);
    if (status.textContent !== text) status.textContent = text;
  }

  // While there are sets to taste, what waits is a number in the status; digits come when all else is
  // done. After closing there are none: the desk could add nothing either.
  function showUnsent(waiting, refused, late) {
    const shown = late.length > 0 ? [] : current ? refused : [...refused, ...waiting];
    const panel = byId("unsent");
    panel.hidden = shown.length === 0;
    const { dataset } = byId("why");
    if (late.length > 0 && told.hidden) tell(dataset.late);
    byId("why").textContent = refused.length > 0 ? dataset.refused : dataset.waiting;
    byId("strips").replaceChildren(
      ...shown.map((set) =>
        Object.assign(document.createElement("li"), { textContent: strip(set, kept(set).body) }),
      ),
    );
  }

  // Groups of three digits: seat, set, then every answer in the form's order (a chosen cup's code, 000
  // for "can't tell", a score), and a check digit by ISO/IEC 7064, MOD 11,10.
  function strip(set, body) {
    const answers = [...new URLSearchParams(body)].filter(([name]) => /^e\d/.test(name));
    const groups = [main.dataset.seat, set, ...answers.map(([, value]) => value)].map((value) =>
      (/^\d+$/.test(value) ? value : "0").padStart(3, "0"),
    );
    let product = 10;
    for (const digit of groups.join("")) product = (((product + +digit) % 10 || 10) * 2) % 11;
    return `${groups.join(" ")} - ${(11 - product) % 10}`;
  }

  function tell(message) {
    told.hidden = !message;
    told.textContent = message ?? "";
  }

  async function send() {
    show();
    if (sending) return;
    sending = true;
    let set = inState("waiting")[0];
    while (set !== undefined && (await post(set))) {
      pause = 1000;
      set = inState("waiting")[0];
    }
    sending = false;
    show();
    if (set === undefined) return;
    setTimeout(send, pause);
    pause = Math.min(pause * 2, 15000);
  }

  /** Sends one answer; true when the server has decided on it, false when it must be tried again. */
  async function post(set) {
    let answer = await ask(set);
    if (answer?.outcome === "expired" && (await renew())) answer = await ask(set);
    if (!answer || ["expired", "tooMany", "broken"].includes(answer.outcome)) return false;
    const { outcome, message } = answer;
    if (outcome === "paused") {
      tell(message);
      return false;
    }
    if (outcome === "mend") return askAgain(set, message);
    if (["stored", "differs", "voided"].includes(outcome)) {
      drop(set);
      received.add(set);
    } else keep(set, outcome === "tooLate" ? "late" : "refused", kept(set).body);
    tell(message);
    show();
    return true;
  }

  async function ask(set) {
    const fields = new URLSearchParams(kept(set).body);
    fields.set("_csrf", csrf ?? "");
    fields.set("ago", secondsSince(fields.get("at") ?? Date.now()));
    fields.delete("at");
    const headers = { accept: "application/json" };
    const signal = AbortSignal.timeout?.(20000);
    try {
      const request = { method: "POST", headers, body: fields, signal };
      const answer = await fetch(`/taste/${set}`, request);
      offline = false;
      return await answer.json();
    } catch {
      offline = true;
      return null;
    }
  }

  /** The phone lost its cookie for forms, as after a flat battery: a fresh page brings another. */
  async function renew() {
    try {
      const page = await (await fetch("/taste/stop")).text();
      csrf = /name="_csrf" value="([^"]+)"/.exec(page)?.[1];
      return csrf !== undefined;
    } catch {
      return false;
    }
  }

  /** The tray has changed since this page was loaded: load it anew, with the answer as a draft. */
  function askAgain(set, message) {
    keep(set, "draft", kept(set).body);
    sessionStorage.setItem(shelf, message);
    location.reload();
    return false;
  }

  /** A tray of this seat has changed, or the tasting pauses or goes on: load the page anew. */
  async function follow() {
    if (document.hidden || sending) return;
    try {
      const { outcome, message } = await (await fetch("/taste/stamp")).json();
      if (outcome === "stamp" && message !== main.dataset.stamp) location.reload();
    } catch {
      // No network: the page goes on with what it has.
    }
  }

  function lookAgain() {
    setInterval(async () => {
      try {
        const page = await (await fetch(location.href)).text();
        if (!page.includes("data-refreshes")) location.reload();
      } catch {
        // No network: the next look comes by itself.
      }
    }, 5000);
  }
})();
