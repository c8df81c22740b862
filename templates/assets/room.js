// Swaps the room's grid whenever the server says that something changed. Without it, reload.
const grid = document.getElementById("grid");
const note = document.getElementById("room-live");
let waiting = false;
let turn = 0;

async function refresh() {
  waiting = false;
  const answer = await fetch(grid.dataset.grid, { credentials: "same-origin", redirect: "error" });
  if (!answer.ok) throw new Error(String(answer.status));
  const scrolled = grid.querySelector(".wide").scrollLeft;
  const focused = grid.contains(document.activeElement) ? document.activeElement.id : "";
  // Our own server's rendering, escaped there.
  grid.innerHTML = await answer.text();
  grid.querySelector(".wide").scrollLeft = scrolled;
  if (focused) document.getElementById(focused)?.focus({ preventScroll: true });
  document.dispatchEvent(new Event("swapped"));
  awaitTurn();
}

// Cups cool by themselves: fetch when the next round goes from too hot to right, or to too cold.
function awaitTurn() {
  clearTimeout(turn);
  const turnsIn = grid.querySelector("[data-turns-in]")?.dataset.turnsIn;
  if (turnsIn) turn = setTimeout(soon, Number(turnsIn));
}

// Many sets may arrive at once: fetch at most twice a second.
function soon() {
  if (waiting) return;
  waiting = true;
  setTimeout(() => {
    refresh().catch(lost);
  }, 500);
}

function lost() {
  note.textContent = "Connection lost; trying again. Reload the page if this stays.";
}

awaitTurn();
const source = new EventSource(grid.dataset.live);
source.addEventListener("open", () => {
  note.textContent = "Live: this page follows the room.";
  soon();
});
source.addEventListener("changed", soon);
source.addEventListener("error", lost);
