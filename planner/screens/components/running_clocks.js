// Clocks of dives in the water: a figure with `data-gone-s` is counted on from there, once it is seen here.
// The server draws each anew every few seconds; between, nothing is painted but a second that has passed.

const LOOK_MS = 500, CLOCKS = ".figures .runs";
const seen = new WeakMap(), ticking = new WeakMap();

const tick = () => {
  for (const clock of document.querySelectorAll(CLOCKS)) {
    const gone = Number(clock.dataset.goneS);
    if (seen.get(clock)?.gone !== gone) seen.set(clock, {gone, at: performance.now()});
    const passed = gone + Math.floor((performance.now() - seen.get(clock).at) / 1000);
    const words = Math.floor(passed / 60) + ":" + String(passed % 60).padStart(2, "0");
    if (clock.textContent !== words) clock.textContent = words;
  }
};

export default function ({parentElement}) {
  if (!ticking.has(parentElement)) ticking.set(parentElement, setInterval(tick, LOOK_MS));
  return () => {
    clearInterval(ticking.get(parentElement));
    ticking.delete(parentElement);
  };
}
