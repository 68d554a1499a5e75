// Measures the page in every frame of the harness and leaves the result as JSON in #out.

function measure(frame) {
  const page = frame.contentDocument, view = frame.contentWindow;
  const root = page.documentElement, wide = root.clientWidth;
  const seen = e => e.getClientRects().length > 0;
  const box = e => e.getBoundingClientRect();
  const style = e => view.getComputedStyle(e);
  const all = [...page.body.querySelectorAll("*")].filter(seen);
  const words = [...page.querySelectorAll("svg text")].filter(seen);

  const meet = (a, b) =>
    a.left < b.right - 1 && b.left < a.right - 1 && a.top < b.bottom - 2 && b.top < a.bottom - 2;
  const clashes = [];
  words.forEach((a, i) => words.slice(i + 1).forEach(b => {
    if (a.closest("svg") === b.closest("svg") && meet(box(a), box(b)))
      clashes.push(a.textContent + " / " + b.textContent);
  }));
  const outside = words.filter(e => {
    const room = box(e.closest("svg"));
    return box(e).left < room.left - 1 || box(e).right > room.right + 1;
  });
  const letters = e => {
    const drawing = e.closest("svg");
    const scale = drawing ? box(drawing).width / drawing.viewBox.baseVal.width : 1;
    return parseFloat(style(e).fontSize) * scale;
  };
  const speaking = all.filter(e => [...e.childNodes].some(n => n.nodeType === 3 && n.data.trim()));

  return {
    name: frame.id,
    wide: wide,
    scroll: root.scrollWidth,
    over: all.filter(e => box(e).right > wide + 1).map(e => e.tagName + " " + e.textContent.slice(0, 30)),
    paper: style(page.body).backgroundColor,
    ink: style(page.body).color,
    drawings: [...page.querySelectorAll("svg")].filter(seen).length,
    clashes: clashes,
    outside: outside.map(e => e.textContent),
    smallest: Math.min(...speaking.map(letters)),
    sections: [...page.querySelectorAll("h2")].map(e => e.textContent),
    height: root.scrollHeight,
  };
}

addEventListener("load", () => {
  const frames = [...document.querySelectorAll("iframe")];
  document.getElementById("out").textContent = JSON.stringify(frames.map(measure));
});
