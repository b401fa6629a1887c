// The day as a board: blocks to be dragged or moved by the arrow keys, names to be swapped; on a phone a list.
// It draws what `planner/charts/board.py` says and tells Python what was asked for; it judges nothing.

const STEP_MIN = 5, SEND_AFTER_MS = 600, CLICK_PX = 4, LANE_PX = 27, LETTER_ROOM_PX = 2, LETTER_PX = 12, LEAST_PX = 9, NAMES_PX = 220;
const ASIDE = {ArrowLeft: -STEP_MIN, ArrowRight: STEP_MIN}, ALONG = {ArrowUp: -1, ArrowDown: 1};

const make = (tag, name, text, more = {}) => {
  const made = document.createElement(tag);
  if (name) made.className = name;
  if (text !== undefined) made.textContent = text;
  for (const [key, value] of Object.entries(more)) made.setAttribute(key, value);
  return made;
};

const paint = (drawn, fill, ink) => {
  drawn.style.setProperty("--fill", fill);
  drawn.style.setProperty("--ink", ink);
  return drawn;
};

// The state of one board outlives its drawings: what is focused, what is pressed and not sent yet.
const boards = new WeakMap();

export default function ({data, parentElement, setTriggerValue}) {
  const root = parentElement.querySelector(".board");
  if (!boards.has(root)) boards.set(root, new DayBoard(root));
  const board = boards.get(root);
  board.ask = asked => setTriggerValue("asked", {...asked, along: board.data.along});
  board.show(data);
}

class DayBoard {
  constructor(root) {
    this.root = root;
    this.shift = null;
    new ResizeObserver(() => this.fit()).observe(root);
  }

  show(data) {
    const said = JSON.stringify(data);
    if (said === this.drawn) {
      this.sent = 0;
      this.place();
      return;
    }
    const focused = this.root.getRootNode().activeElement?.dataset?.key;
    [this.drawn, this.data] = [said, data];
    [this.from, this.to] = data.span;
    this.sent = 0;
    this.root.replaceChildren(this.wide(), this.legend(), this.list());
    this.root.classList.toggle("contrast", data.contrast);
    this.fit();
    this.place();
    if (focused) [...this.root.querySelectorAll("[data-key]")]
      .find(e => e.dataset.key === focused && e.offsetParent)?.focus({preventScroll: true});
  }

  // ------------------------------------------------------------------ the wide board

  at(minute) { return 100 * (minute - this.from) / (this.to - this.from) + "%"; }

  wide() {
    const {data} = this, wide = make("div", "wide", undefined, {role: "group", "aria-label": data.told});
    const bands = make("div", data.behind.length ? "bands" : "bands none"), under = make("div", "under", undefined, {"aria-hidden": "true"});
    for (const band of data.behind) {
      const drawn = make("div", band.what);
      const [from, to] = [Math.max(band.from, this.from), Math.min(band.to, this.to)];
      Object.assign(drawn.style, {left: this.at(from), width: `calc(${this.at(to)} - ${this.at(from)})`});
      under.append(drawn);
      const name = make("span", "", band.name);
      const late = from > (this.from + 2 * this.to) / 3;
      name.style[late ? "right" : "left"] = late ? `calc(100% - ${this.at(to)})` : this.at(from);
      bands.append(name);
    }
    for (const [minute] of data.hours) {
      const line = make("i");
      line.style.left = this.at(minute);
      under.append(line);
    }
    if (data.now !== null) {
      const line = make("i", "now");
      line.style.left = this.at(data.now);
      under.append(line);
    }
    if (data.tide) under.append(this.tide());
    const rows = make("div", "rows");
    rows.append(under, ...data.rows.map(row => this.row(row)));
    const axis = make("div", "axis", undefined, {"aria-hidden": "true"});
    for (const [minute, words] of data.hours) {
      const hour = make("span", "", words);
      hour.style.left = this.at(minute);
      axis.append(hour);
    }
    axis.append(make("em", "", data.axis));
    const said = make("div", "said", "", {role: "status", "aria-live": "polite"});
    wide.append(bands, rows, axis, said);
    const blocks = [...wide.querySelectorAll("button.block")], names = [...wide.querySelectorAll("button.name")];
    for (const many of [blocks, names]) many.forEach((one, place) => { one.tabIndex = place ? -1 : 0; });
    return wide;
  }

  tide() {
    const {points} = this.data.tide, levels = points.map(p => p[1]);
    const [low, high] = [Math.min(...levels), Math.max(...levels)], room = Math.max(.5, high - low);
    const x = m => 1000 * (m - this.from) / (this.to - this.from), y = v => 92 - 84 * (v - low) / room;
    const drawn = document.createElementNS("http://www.w3.org/2000/svg", "svg");
    drawn.setAttribute("viewBox", "0 0 1000 100");
    drawn.setAttribute("preserveAspectRatio", "none");
    const line = document.createElementNS("http://www.w3.org/2000/svg", "polyline");
    line.setAttribute("points", points.map(([m, v]) => `${x(m)},${y(v)}`).join(" "));
    drawn.append(line);
    return drawn;
  }

  row(row) {
    const drawn = make("div", "row");
    drawn.style.height = `${row.lanes * LANE_PX + 4}px`;
    drawn.dataset.person = row.person;
    const button = this.data.editable && row.person;
    const name = make(button ? "button" : "span", "name", row.name, {title: row.name});
    if (button) {
      name.dataset.key = `name ${row.person}`;
      name.setAttribute("aria-pressed", String(this.data.chosen === `person ${row.person}`));
      name.onclick = () => this.ask({what: "name", person: row.person});
      name.onkeydown = press => this.walk(press, "button.name");
    }
    this.mark(name, row.marks);
    drawn.append(name, ...row.blocks.map((block, place) => this.block(block, row, place)));
    return drawn;
  }

  block(block, row, place) {
    const about = this.data.editable
      ? {type: "button", "aria-label": block.told + this.breaks(block.marks), title: block.told}
      : {role: "img", "aria-label": block.told, title: block.told};
    const drawn = make(this.data.editable ? "button" : "div", "block", undefined, about);
    drawn.dataset.moves = block.moves;
    drawn.dataset.key = `${row.name} ${block.moves} ${place}`;
    drawn.classList.toggle("changed", block.changed);
    drawn.classList.toggle("chosen", this.data.chosen === block.moves);
    const long = block.to - block.from, share = m => 100 * (m - block.from) / long + "%";
    Object.assign(drawn.style, {
      left: this.at(block.from), width: `calc(${this.at(block.to)} - ${this.at(block.from)})`,
      top: `${block.lane * LANE_PX + 3}px`,
    });
    paint(drawn, block.fill, block.ink);
    for (const [what, from, to] of block.parts) {
      const part = make("span", `part ${what}`);
      part.style.left = share(from);
      part.style.width = `calc(${share(to)} - ${share(from)})`;
      part.texts = what ? [] : block.texts;
      drawn.append(part);
    }
    this.mark(drawn, block.marks);
    if (this.data.editable) this.movable(drawn, block);
    return drawn;
  }

  breaks(marks) { return marks.length ? `. Breaks: ${marks.join(", ")}` : ""; }

  mark(drawn, marks) {
    if (!marks.length) return;
    drawn.classList.add("bad");
    drawn.append(make("b", "mark", marks.join(" "), {"aria-hidden": "true"}));
  }

  // As much of a block's words as there is room for, in the type it is drawn in.
  fit() {
    const first = this.root.querySelector(".part");
    if (!first || !first.offsetParent) return;
    const pen = document.createElement("canvas").getContext("2d");
    pen.font = getComputedStyle(first).font;
    const bars = pen.font;
    pen.font = getComputedStyle(this.root.querySelector(".name")).font;
    const names = this.data.rows.map(row => pen.measureText(row.name).width);
    pen.font = bars;
    this.root.style.setProperty("--names", `${Math.min(NAMES_PX, 30 + Math.max(...names))}px`);
    for (const part of this.root.querySelectorAll(".part")) {
      const room = part.clientWidth - LETTER_ROOM_PX;
      const shortest = part.texts.at(-1) ?? "", smaller = LETTER_PX * room / pen.measureText(shortest).width;
      part.style.fontSize = smaller < LETTER_PX && smaller >= LEAST_PX ? `${Math.floor(smaller)}px` : "";
      part.textContent = part.texts.find(text => pen.measureText(text).width <= room)
        ?? (smaller >= LEAST_PX ? shortest : "");
    }
  }

  // ------------------------------------------------------------------ moving

  with(moves) { return [moves, ...(this.data.follows[moves] ?? [])]; }

  drawnWith(moves) {
    const along = new Set(this.with(moves));
    return [...this.root.querySelectorAll(".wide .block")].filter(b => along.has(b.dataset.moves));
  }

  // Where the blocks are drawn while Python has not heard, or not answered yet.
  place() {
    for (const block of this.root.querySelectorAll(".wide .block")) block.style.transform = "";
    if (!this.shift && !this.sent) return;
    const minutes = (this.shift?.minutes ?? 0) + this.sent;
    const px = minutes * this.root.querySelector(".under").clientWidth / (this.to - this.from);
    const moves = this.shift?.moves ?? this.last;
    for (const block of this.drawnWith(moves)) block.style.transform = `translateX(${px}px)`;
    const start = this.data.starts[moves];
    const then = start === undefined ? "" : `, then ${this.clock(start + minutes)}`;
    this.say(`${moves}: ${minutes > 0 ? "+" : ""}${minutes} min${then}`);
  }

  clock(minute) {
    const [hour, words] = this.data.hours.filter(h => h[0] <= minute).at(-1) ?? this.data.hours[0];
    const [h, m] = words.slice(-5).split(":").map(Number), all = (h * 60 + m + minute - hour + 2880) % 1440;
    return [Math.floor(all / 60), all % 60].map(n => String(n).padStart(2, "0")).join(":");
  }

  say(words) { this.root.querySelector(".said").textContent = words; }

  send() {
    clearTimeout(this.waits);
    if (!this.shift) return;
    const {moves, minutes} = this.shift;
    this.shift = null;
    if (!minutes) return this.place();
    [this.sent, this.last] = [this.sent + minutes, moves];
    this.ask({what: "shift", moves, minutes});
  }

  movable(drawn, block) {
    const {moves, person} = block;
    let start = null, way = "";
    drawn.onpointerdown = press => {
      if (press.button) return;
      start = {x: press.clientX, y: press.clientY};
      way = "";
      drawn.setPointerCapture(press.pointerId);
    };
    drawn.onpointermove = move => {
      if (!start) return;
      const [dx, dy] = [move.clientX - start.x, move.clientY - start.y];
      if (!way && Math.max(Math.abs(dx), Math.abs(dy)) > CLICK_PX) way = Math.abs(dx) >= Math.abs(dy) ? "aside" : "over";
      if (way === "aside") {
        const scale = (this.to - this.from) / this.root.querySelector(".under").clientWidth;
        this.shift = {moves, minutes: STEP_MIN * Math.round(dx * scale / STEP_MIN)};
        this.place();
      } else if (way === "over") {
        drawn.style.transform = `translateY(${dy}px)`;
        const to = this.rowAt(move.clientY);
        for (const row of this.root.querySelectorAll(".row")) row.classList.toggle("over", row === to);
        if (to && to.dataset.person !== person) this.say(`${person} and ${to.dataset.person} swap in ${moves}`);
      }
    };
    const end = dropped => up => {
      if (!start) return;
      start = null;
      const to = way === "over" ? this.rowAt(up.clientY)?.dataset.person : "";
      for (const row of this.root.querySelectorAll(".row.over")) row.classList.remove("over");
      if (!dropped) this.shift = null;
      if (!dropped || way === "over") this.place();
      if (dropped && way === "aside") this.send();
      else if (dropped && to && to !== person) this.ask({what: "hand", moves, from: person, to});
    };
    drawn.onpointerup = end(true);
    drawn.onpointercancel = end(false);
    drawn.onclick = () => { if (!way) this.ask({what: "open", moves}); };
    drawn.onkeydown = press => {
      way = "";
      if (press.key in ASIDE) {
        press.preventDefault();
        if (this.shift && this.shift.moves !== moves) this.send();
        this.shift = {moves, minutes: (this.shift?.minutes ?? 0) + ASIDE[press.key]};
        this.place();
        clearTimeout(this.waits);
        this.waits = setTimeout(() => this.send(), SEND_AFTER_MS);
      } else if (press.key === "Escape") {
        clearTimeout(this.waits);
        this.shift = null;
        this.place();
        this.say("");
      } else this.walk(press, "button.block");
    };
  }

  rowAt(y) {
    const rows = [...this.root.querySelectorAll(".wide .row")];
    return rows.find(row => {
      const box = row.getBoundingClientRect();
      return row.dataset.person && y >= box.top && y < box.bottom;
    });
  }

  // Up and down go through blocks or names in their order: one of them is in the order of Tab.
  walk(press, among) {
    if (!(press.key in ALONG)) return;
    press.preventDefault();
    const all = [...this.root.querySelectorAll(`.wide ${among}`)];
    const here = all.indexOf(press.currentTarget), next = all[here + ALONG[press.key]];
    if (!next) return;
    [all[here].tabIndex, next.tabIndex] = [-1, 0];
    next.focus();
  }

  // ------------------------------------------------------------------ below it, and the list of a phone

  chip(fill, ink, words, what = "") { return paint(make("span", `chip ${what}`, words), fill, ink); }

  legend() {
    const all = make("ul", "legend", undefined, {"aria-label": "Letters of the duties"});
    for (const {letters, name, fill, ink, what} of this.data.legend) {
      const one = make("li");
      one.append(this.chip(fill, ink, letters, what), name);
      all.append(one);
    }
    if (this.data.tide) {
      const {points, unit} = this.data.tide, levels = points.map(p => p[1]);
      const one = make("li", "", `tide, ${Math.min(...levels).toFixed(1)} to ${Math.max(...levels).toFixed(1)} ${unit}`);
      one.prepend(make("span", "chip curve"));
      all.append(one);
    }
    return all;
  }

  list() {
    const list = make("div", "list");
    for (const row of this.data.rows) {
      const {editable} = this.data;
      const name = make(editable && row.person ? "button" : "span", "who", row.name);
      if (editable && row.person) name.onclick = () => this.ask({what: "name", person: row.person});
      this.mark(name, row.marks);
      const lines = make("ul");
      const told = this.data.only_changed ? row.blocks.filter(block => block.changed) : row.blocks;
      for (const block of told) {
        const line = make(editable ? "button" : "div", "line"), one = make("li");
        line.append(make("span", "when", block.when), this.chip(block.fill, block.ink, block.chip),
          make("span", "what", this.data.by_person ? block.line : `${block.person}: ${block.line}`));
        line.classList.toggle("changed", block.changed && !this.data.only_changed);
        this.mark(line, block.marks);
        if (editable) line.onclick = () => this.ask({what: "open", moves: block.moves});
        one.append(line);
        lines.append(one);
      }
      if (!told.length) lines.append(make("li", "none", row.blocks.length ? "as in the other" : "no duty"));
      const part = make("section");
      part.append(name, lines);
      list.append(part);
    }
    return list;
  }
}
