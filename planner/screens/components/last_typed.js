// Holds a press that leaves a field back until the app has taken up what was typed, then lets it go on:
// out of a cell, a text of several lines or just after cells were pasted any press, out of any other field
// one that leaves the page. Back and Forward wait as well, also for a page that is being drawn: what the web
// library sends at once is held back and asked for again, by an event as the browser's own, for the page of
// the address in the end; until then no page writes its own address. It listens once a tab.
const SENT_MS = 250, PASTED_MS = 1000, STARTS_MS = 2000, LONGEST_MS = 10000;
let sent = 0, answered = true, desk = "";
const idle = () =>
  document.querySelector("[data-testid='stApp']")?.dataset.testScriptState === "notRunning";
function settled() {
  answered ||= !idle() || performance.now() - sent > STARTS_MS;
  return answered && idle();
}
function watch() {
  const send = WebSocket.prototype.send;
  WebSocket.prototype.send = function (what) {
    if (window.event?.type === "popstate" && window.event.isTrusted) return;
    [sent, answered] = [performance.now(), false];
    send.call(this, what);
  };
  const states = { attributes: true, subtree: true, attributeFilter: ["data-test-script-state"] };
  new MutationObserver(settled).observe(document.body, states);
}
function leaveField(at) {
  if (at.closest("#portal")) at.dispatchEvent(new KeyboardEvent("keydown", { key: "Enter", bubbles: true }));
  else at.blur();
}
function holdBack() {
  let asked = 0, shown = 0, since = 0, held = false;
  const push = history.pushState.bind(history);
  history.pushState = (...entry) => { if (!held) push(...entry); };
  const look = () => {
    if (!settled() && performance.now() - since < LONGEST_MS) setTimeout(look, 50);
    else if (!held || shown === asked) held = false;
    else {
      [shown, since] = [asked, performance.now()];
      window.dispatchEvent(new PopStateEvent("popstate"));
      setTimeout(look, 50);
    }
  };
  window.addEventListener("popstate", back => {
    if (!back.isTrusted) return;
    if (!new URLSearchParams(location.search).has(desk)) return history.back();
    const at = document.activeElement, typing = at && at.matches("input, textarea");
    asked += 1;
    if (typing) leaveField(at);
    if (held) return;
    [held, since] = [true, performance.now()];
    setTimeout(look, typing ? SENT_MS : 0);
  });
  // A link pressed meanwhile is the later word.
  document.addEventListener("click", press => { if (press.target.closest?.("a[href]")) held = false; }, true);
}
export default function ({ data }) {
  // the name of the token in the address
  desk = data.desk;
  if (window.heldPresses) return;
  window.heldPresses = true;
  watch();
  holdBack();
  let left = "", pasted = -PASTED_MS;
  document.addEventListener("paste", () => { pasted = performance.now(); }, true);
  document.addEventListener("pointerdown", () => {
    const at = document.activeElement;
    const late = at && (at.closest("#portal") || at.matches("textarea"));
    const fresh = performance.now() - pasted < PASTED_MS;
    left = fresh ? "a, button" : !at || !at.matches("input, textarea") ? "" : late ? "a, button" : "a";
  }, true);
  document.addEventListener("click", press => {
    const what = left && press.isTrusted ? press.target.closest(left) : null;
    left = "";
    if (!what) return;
    press.preventDefault();
    press.stopPropagation();
    const since = performance.now();
    const go = () => {
      const waited = performance.now() - since;
      if (waited > LONGEST_MS || (waited > SENT_MS && settled())) what.click();
      else setTimeout(go, 50);
    };
    go();
  }, true);
}
