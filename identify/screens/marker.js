// The film with handles over it; marker.py puts marker_view.js before this file.
// Points are edge-based here (pixel i covers [i, i + 1)); marker.py turns them into pixel centres.
// A value is sent at once, on pointerup or keyup, never from a timer: a late message can undo a
// change of page.

const LIVE = new WeakMap(); // parentElement -> the mounted film, kept between calls
const SVG = "http://www.w3.org/2000/svg";
const REACH = 26; // px on screen: how near a finger must come to a handle
const STILL = 4; // px on screen: a finger that moved farther was no click
const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };

const where = ({ x, y }) => `x ${x.toFixed(1)}, y ${y.toFixed(1)} pixels`;
const middle = (a, b) => ({ x: (a.x + b.x) / 2, y: (a.y + b.y) / 2 });

function element(tag, attributes, parent) {
  const made = parent.appendChild(document.createElementNS(SVG, tag));
  setAll(made, attributes);
  return made;
}

function setAll(target, attributes) {
  for (const [name, value] of Object.entries(attributes)) target.setAttribute(name, value);
}

class Film extends View {
  constructor(root) {
    super();
    this.root = root;
    this.box = root.querySelector(".film");
    this.image = root.querySelector("img");
    this.overlay = root.querySelector(".overlay");
    this.loupe = root.querySelector(".loupe");
    this.canvas = root.querySelector("canvas");
    this.spoken = root.querySelector(".spoken");
    Object.assign(this, { handles: [], links: [], points: {}, rev: null, source: null });
    Object.assign(this, { held: null, tap: null, drawn: {}, fingers: new Map() });
    listenToPointers(this);
    listenToKeys(this);
    listenToTools(this);
    this.image.onload = () => this.show();
    this.watcher = new ResizeObserver(() => this.resized());
    this.watcher.observe(this.box);
  }

  // Python's points count only under a new revision: between those the browser's are newer.
  update({ src, handles, links, points, rev, asks }) {
    this.asks = asks;
    const known = JSON.stringify([this.handles, this.links]);
    if (JSON.stringify([handles, links]) !== known) Object.assign(this, { handles, links, stale: true });
    if (this.rev !== rev) Object.assign(this, { rev, points: structuredClone(points) });
    if (this.stale) buildOverlay(this);
    if (this.source === src) return this.draw();
    this.box.removeAttribute("data-ready");
    this.image.src = this.source = src;
  }

  show() {
    this.box.style.aspectRatio = `${this.image.naturalWidth} / ${this.image.naturalHeight}`;
    this.fit();
    this.box.dataset.ready = "1";
  }

  resized() {
    return this.box.dataset.ready && this.fitted ? this.fit() : this.draw();
  }

  move(handle, { x, y }) {
    const round = (value, high) => clamp(Math.round(value * 100) / 100, 0, high);
    const point = { x: round(x, this.image.naturalWidth), y: round(y, this.image.naturalHeight) };
    this.points[handle.id] = point;
    this.draw();
    showLoupe(this, handle);
  }

  // Tells Python which handle moved, so that one still at its start place can be told from one set.
  commit(handle) {
    this.send({ rev: this.rev, moved: handle.id, points: structuredClone(this.points) });
  }

  nearest(x, y) {
    const distance = (handle) => {
      const [hx, hy] = this.onScreen(this.points[handle.id]);
      return Math.hypot(hx - x, hy - y);
    };
    const near = this.handles.filter((handle) => distance(handle) <= REACH);
    return near.sort((a, b) => distance(a) - distance(b))[0];
  }

  draw() {
    const { image, overlay } = this;
    image.style.transform = `translate(${this.shiftX}px, ${this.shiftY}px) scale(${this.zoom})`;
    image.style.imageRendering = this.zoom > 3 ? "pixelated" : "auto";
    for (const handle of this.handles) drawHandle(this, handle);
    for (const link of this.links) drawLink(this, link);
    overlay.dataset.zoom = this.zoom.toFixed(4);
    overlay.dataset.points = JSON.stringify(this.points);
  }
}

function buildOverlay(film) {
  const focused = film.overlay.querySelector(".handle:focus")?.dataset.id;
  film.overlay.replaceChildren();
  film.drawn = {};
  film.stale = false;
  for (const link of film.links) {
    const tag = link.kind === "circle" ? "circle" : "line";
    const look = { class: `link ${link.kind}`, style: `color:${link.colour}` };
    film.drawn[link.id] = element(tag, look, film.overlay);
  }
  for (const handle of film.handles) film.drawn[handle.id] = buildHandle(film, handle);
  film.drawn[focused]?.focus({ preventScroll: true });
}

function buildHandle(film, handle) {
  const group = element("g", {
    class: handle.waiting ? "handle waiting" : "handle",
    style: `color:${handle.colour}`,
    "data-id": handle.id,
    "aria-roledescription": "movable point",
    role: "button",
    tabindex: 0,
  }, film.overlay);
  element("circle", { class: "ring", r: 9 }, group);
  element("path", { class: "cross", d: "M-15 0H-4M4 0H15M0-15V-4M0 4V15" }, group);
  element("text", { x: 14, y: -11 }, group).textContent = handle.short;
  group.addEventListener("focus", () => showLoupe(film, handle));
  group.addEventListener("blur", () => showLoupe(film, null));
  group.addEventListener("keydown", (event) => nudge(film, handle, event));
  group.addEventListener("keyup", (event) => ARROWS[event.key] && film.commit(handle));
  return group;
}

function drawHandle(film, handle) {
  const point = film.points[handle.id];
  const group = film.drawn[handle.id];
  if (!point || !group) return;
  group.setAttribute("transform", `translate(${film.onScreen(point)})`);
  const keys = "Arrow keys move it; with Shift ten pixels, with Alt a tenth.";
  group.setAttribute("aria-label", `${handle.label}. ${where(point)}. ${keys}`);
}

function drawLink(film, { id, kind, between }) {
  const points = between.map((name) => film.points[name]);
  if (points.some((point) => !point)) return;
  // an axis runs from the middle of the platform line to the apex
  const ends = kind === "axis" ? [middle(points[0], points[1]), points[2]] : points;
  const [[x1, y1], [x2, y2]] = ends.map((point) => film.onScreen(point));
  if (kind !== "circle") return setAll(film.drawn[id], { x1, y1, x2, y2 });
  const r = Math.hypot(x2 - x1, y2 - y1) / 2;
  setAll(film.drawn[id], { cx: (x1 + x2) / 2, cy: (y1 + y2) / 2, r });
}

function showLoupe(film, handle) {
  film.loupe.hidden = !handle;
  if (!handle) return;
  const point = film.points[handle.id];
  const pen = film.canvas.getContext("2d");
  const size = film.canvas.width;
  const half = size / 2 / Math.max(2.5, film.zoom * 3);
  pen.imageSmoothingEnabled = false;
  pen.fillStyle = "#000";
  pen.fillRect(0, 0, size, size);
  pen.drawImage(film.image, point.x - half, point.y - half, 2 * half, 2 * half, 0, 0, size, size);
  film.loupe.style.color = handle.colour;
  placeLoupe(film, film.onScreen(point));
}

// In the corner away from the point, so that it never covers it.
function placeLoupe({ loupe, box }, [x, y]) {
  const side = x < box.clientWidth / 2 ? "right" : "left";
  loupe.className = `loupe ${side} ${y < box.clientHeight / 2 ? "bottom" : "top"}`;
}

function nudge(film, handle, event) {
  const way = ARROWS[event.key];
  if (!way) return;
  event.preventDefault();
  const step = event.shiftKey ? 10 : event.altKey ? 0.1 : 1;
  const { x, y } = film.points[handle.id];
  film.move(handle, { x: x + way[0] * step, y: y + way[1] * step });
  film.spoken.textContent = `${handle.label} ${where(film.points[handle.id])}`;
}

function listenToPointers(film) {
  const { box } = film;
  const place = (event) => {
    const { left, top } = box.getBoundingClientRect();
    return [event.clientX - left, event.clientY - top];
  };
  box.addEventListener("pointerdown", (event) => event.button < 2 && press(film, event, place(event)));
  box.addEventListener("pointermove", (event) => drag(film, event.pointerId, place(event)));
  box.addEventListener("pointerup", (event) => release(film, event.pointerId));
  box.addEventListener("pointercancel", (event) => {
    film.tap = null;
    release(film, event.pointerId);
  });
  box.addEventListener("wheel", (event) => {
    event.preventDefault();
    film.zoomBy(Math.exp(-event.deltaY * 0.0015), ...place(event));
  }, { passive: false });
}

// The offset of the grab is kept: a handle does not jump under a finger.
function press(film, event, [x, y]) {
  event.preventDefault();
  film.box.setPointerCapture(event.pointerId);
  film.fingers.set(event.pointerId, [x, y]);
  const handle = film.fingers.size === 1 ? film.nearest(x, y) : null;
  film.held = null;
  film.tap = film.fingers.size === 1 && (!handle || handle.waiting) ? [x, y] : null;
  if (!handle) return;
  const [hx, hy] = film.onScreen(film.points[handle.id]);
  film.held = { handle, dx: hx - x, dy: hy - y, moved: false };
  film.drawn[handle.id].focus({ preventScroll: true });
}

function drag(film, finger, [x, y]) {
  const before = film.fingers.get(finger);
  if (!before) return;
  if (film.tap && Math.hypot(x - film.tap[0], y - film.tap[1]) > STILL) film.tap = null;
  const others = [...film.fingers].filter(([id]) => id !== finger).map(([, place]) => place);
  if (film.held) {
    film.held.moved = true;
    film.move(film.held.handle, film.onFilm(x + film.held.dx, y + film.held.dy));
  } else if (others.length) pinch(film, before, [x, y], others[0]);
  else film.pan(x - before[0], y - before[1]);
  film.fingers.set(finger, [x, y]);
}

function release(film, finger) {
  if (!film.fingers.delete(finger)) return;
  if (film.held?.moved) film.commit(film.held.handle);
  if (film.tap && film.asks) film.ask({ rev: film.rev, ...film.onFilm(...film.tap) });
  film.held = film.tap = null;
}

function pinch(film, before, now, other) {
  const apart = (a, b) => Math.hypot(a[0] - b[0], a[1] - b[1]);
  film.pan((now[0] - before[0]) / 2, (now[1] - before[1]) / 2);
  const factor = apart(now, other) / (apart(before, other) || 1);
  film.zoomBy(factor, (now[0] + other[0]) / 2, (now[1] + other[1]) / 2);
}

// Kept from the page: its own shortcuts (r, c) must not fire from here.
function listenToKeys(film) {
  film.root.addEventListener("keydown", (event) => {
    event.stopPropagation();
    if (event.key === "+" || event.key === "=") film.zoomBy(1.25);
    else if (event.key === "-") film.zoomBy(0.8);
    else if (event.key === "0") film.fit();
    else if (event.key === "z" && (event.ctrlKey || event.metaKey)) film.undo();
  });
}

function listenToTools(film) {
  const find = (name) => film.root.querySelector(`.tools .${name}`);
  find("in").onclick = () => film.zoomBy(1.25);
  find("out").onclick = () => film.zoomBy(0.8);
  find("fit").onclick = () => film.fit();
  find("undo").onclick = () => film.undo();
  find("brightness").oninput = find("contrast").oninput = () => applyFilter(film, find);
  find("invert").onclick = ({ currentTarget: button }) => {
    button.setAttribute("aria-pressed", button.getAttribute("aria-pressed") !== "true");
    applyFilter(film, find);
  };
  find("reset").onclick = () => {
    find("brightness").value = find("contrast").value = 1;
    find("invert").setAttribute("aria-pressed", "false");
    applyFilter(film, find);
  };
}

// A CSS filter on the elements: canvas filters were long missing from one common browser.
function applyFilter(film, find) {
  const inverted = find("invert").getAttribute("aria-pressed") === "true" ? 1 : 0;
  const [brightness, contrast] = [find("brightness").value, find("contrast").value];
  const filter = `brightness(${brightness}) contrast(${contrast}) invert(${inverted})`;
  film.image.style.filter = film.canvas.style.filter = filter;
}

export default function ({ parentElement, data, setStateValue, setTriggerValue }) {
  let film = LIVE.get(parentElement);
  if (!film) LIVE.set(parentElement, (film = new Film(parentElement)));
  film.send = (marks) => setStateValue("marks", marks);
  film.undo = () => setTriggerValue("undo", true);
  film.ask = (place) => setTriggerValue("ask", place);
  film.update(data);
  return () => {
    film.watcher.disconnect();
    LIVE.delete(parentElement);
  };
}
