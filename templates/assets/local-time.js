// Times of day by this device's clock. Without it they are UTC, and the page says so.
const twoDigits = (value) => String(value).padStart(2, "0");
const clockOf = (moment) => `${twoDigits(moment.getHours())}:${twoDigits(moment.getMinutes())}`;

function showLocalTimes() {
  for (const time of document.querySelectorAll("time[datetime]")) {
    time.textContent = clockOf(new Date(time.dateTime));
  }
  for (const zone of document.querySelectorAll("[data-zone]")) zone.textContent = "this device’s";
}

const offset = document.querySelector("input[name=offset]");
if (offset) {
  offset.value = new Date().getTimezoneOffset();
  const { moment } = offset.dataset;
  if (moment) offset.form.elements.time.value = clockOf(new Date(moment));
}
document.addEventListener("swapped", showLocalTimes);
showLocalTimes();
