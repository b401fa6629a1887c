"""What was typed last is taken up before a press, or the browser's Back, goes on.

A table sends a cell 150 ms after it was left, and what is pasted as late. A link of the menu that is tapped
straight out of a cell would be there first: the cell would come for a page that is gone, and be lost without
a word. Back is the same press; and with Back pressed while a page is being drawn, the web library would write
the address of that page over the browser's way forward.

A bare address is given its desk as soon as the page is drawn, as an entry of its own in the browser's list;
Back to the bare one would be given it again, and never lead away. It is stepped over.
"""

from __future__ import annotations

from typing import Any

import streamlit as st

from planner.screens.session import ADDRESS_KEY

#: Holds a press that leaves a field back until the app has taken up what was typed, then lets it go on:
#: out of a cell, a text of several lines or just after cells were pasted any press, out of any other field
#: one that leaves the page. Back and Forward wait as well, also for a page that is being drawn: what the web
#: library sends at once is held back and asked for again, by an event as the browser's own, for the page of
#: the address in the end; until then no page writes its own address. It listens once a tab.
_JS = """
const DESK = "ADDRESS_KEY";
const SENT_MS = 250, PASTED_MS = 1000, STARTS_MS = 2000, LONGEST_MS = 10000;
let sent = 0, answered = true;
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
    if (!new URLSearchParams(location.search).has(DESK)) return history.back();
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
export default function () {
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
"""


@st.cache_resource(show_spinner=False, max_entries=1)
def _component() -> Any:
    return st.components.v2.component("last_typed", js=_JS.replace("ADDRESS_KEY", ADDRESS_KEY))


def take_up_first() -> None:
    """Have a press out of a field, Back and Forward wait for what was typed there; draws nothing."""
    _component()(key="last_typed", height=0)
