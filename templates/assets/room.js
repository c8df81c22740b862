// Swaps the room's grid whenever the server says that something changed. Without it, reload.
const grid = document.getElementById("grid");
const note = document.getElementById("room-live");
let waiting = false;

async function refresh() {
  waiting = false;
  const answer = await fetch(grid.dataset.grid, { credentials: "same-origin", redirect: "error" });
  if (!answer.ok) throw new Error(String(answer.status));
  const scrolled = grid.querySelector(".wide").scrollLeft;
  // Our own server's rendering, escaped there.
  grid.innerHTML = await answer.text();
  grid.querySelector(".wide").scrollLeft = scrolled;
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

const source = new EventSource(grid.dataset.live);
source.addEventListener("open", () => {
  note.textContent = "Live: this page follows the room.";
  soon();
});
source.addEventListener("changed", soon);
source.addEventListener("error", lost);
