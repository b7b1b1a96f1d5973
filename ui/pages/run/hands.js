// What hands do on the charts: wheel and pinch zoom, drag moves or chooses a stretch, keys do all of it.
const near = 6; // px under which a press is no drag

export function handle({ region, chart, view, brush, cursor, selects }, signal) {
  const pointers = new Map();
  let start = null;
  const on = (name, listener, options = {}) => region.addEventListener(name, listener, { ...options, signal });
  const area = () => chart().getArea();
  const xOf = (clientX) => chart().toDataXCoord(clientX - chart().graphDiv.getBoundingClientRect().left);
  const within = (event) => {
    const box = chart().graphDiv.getBoundingClientRect();
    const { x, w } = area();
    return event.clientX >= box.left + x && event.clientX <= box.left + x + w;
  };

  on('wheel', (event) => {
    if (chart() === null || !within(event)) return;
    const out = event.deltaY > 0;
    if (event.deltaX !== 0 && Math.abs(event.deltaX) > Math.abs(event.deltaY)) {
      event.preventDefault();
      view.pan(event.deltaX / area().w);
      return;
    }
    if (out && view.from === null) return; // all is seen: the page scrolls
    event.preventDefault();
    view.zoom(out ? 1.25 : 0.8, xOf(event.clientX));
  }, { passive: false });

  const spread = () => {
    const [a, b] = [...pointers.values()];
    return { middle: (a.clientX + b.clientX) / 2, width: Math.max(20, Math.abs(a.clientX - b.clientX)) };
  };

  function begin(event) {
    if (pointers.size === 2) {
      const { middle, width } = spread();
      start = { kind: 'pinch', window: view.window(), at: xOf(middle), width };
      brush.drop();
      return;
    }
    const choose = selects(event.pointerType) !== event.shiftKey;
    start = { kind: choose ? 'choose' : 'move', window: view.window(), clientX: event.clientX, x: xOf(event.clientX), moved: false };
  }

  on('pointerdown', (event) => {
    if (chart() === null || event.button !== 0 || !within(event) || event.target.closest('.phase, button, a')) return;
    pointers.set(event.pointerId, event);
    region.setPointerCapture(event.pointerId);
    region.focus({ preventScroll: true });
    begin(event);
  });

  function pinch() {
    const { middle, width } = spread();
    const [from, to] = start.window;
    const share = (middle - chart().graphDiv.getBoundingClientRect().left - area().x) / area().w;
    const wide = (to - from) * (start.width / width);
    view.set(start.at - share * wide, start.at + (1 - share) * wide);
  }

  on('pointermove', (event) => {
    if (chart() === null) return;
    if (!pointers.has(event.pointerId)) {
      if (event.pointerType === 'mouse') cursor.to(within(event) ? xOf(event.clientX) : null);
      return;
    }
    pointers.set(event.pointerId, event);
    if (start.kind === 'pinch') { if (pointers.size === 2) pinch(); return; }
    start.moved ||= Math.abs(event.clientX - start.clientX) > near;
    if (!start.moved) return;
    if (start.kind === 'choose') {
      brush.draw(start.x, xOf(event.clientX));
    } else {
      const [from, to] = start.window;
      const by = ((start.clientX - event.clientX) / area().w) * (to - from);
      view.set(from + by, to + by);
    }
  });

  function end(event) {
    if (!pointers.delete(event.pointerId) || start === null) return;
    if (start.kind === 'choose' && start.moved) brush.settle();
    if (start.kind !== 'pinch' && !start.moved) cursor.to(start.x);
    start = null;
  }
  on('pointerup', end);
  on('pointercancel', (event) => { pointers.delete(event.pointerId); start = null; brush.drop(); });
  on('pointerleave', (event) => { if (event.pointerType === 'mouse' && pointers.size === 0) cursor.to(null); });
  on('dblclick', (event) => { if (within(event)) view.zoom(0.4, xOf(event.clientX)); });

  const keys = {
    ArrowLeft: (event) => (event.shiftKey ? cursor.step(-1) : view.pan(-0.2)),
    ArrowRight: (event) => (event.shiftKey ? cursor.step(1) : view.pan(0.2)),
    '[': () => brush.edge(0), ']': () => brush.edge(1),
    Enter: () => brush.zoom(), Escape: () => brush.clear(),
  };
  on('keydown', (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey || chart() === null || event.target !== region) return;
    const does = keys[event.key];
    if (does === undefined) return;
    event.preventDefault();
    does(event);
  });
}
