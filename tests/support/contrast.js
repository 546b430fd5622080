// Every text of the page with less contrast than `least` to what is behind it, large, small and
// disabled alike. What is folded is opened first. Contrast as WCAG 2.2 defines it.
(least) => {
  const canvas = new OffscreenCanvas(1, 1).getContext("2d", { willReadFrequently: true });
  const known = new Map();

  /** Red, green, blue from 0 to 255 and opacity from 0 to 1, however the colour is written. */
  function colour(text) {
    if (!known.has(text)) {
      canvas.clearRect(0, 0, 1, 1);
      canvas.fillStyle = text;
      canvas.fillRect(0, 0, 1, 1);
      const [r, g, b, a] = canvas.getImageData(0, 0, 1, 1).data;
      known.set(text, [r, g, b, a / 255]);
    }
    return known.get(text);
  }

  function over([r, g, b, a], below) {
    return [r, g, b].map((part, n) => part * a + below[n] * (1 - a));
  }

  function luminance(parts) {
    const [r, g, b] = parts
      .map((part) => part / 255)
      .map((part) => (part <= 0.04045 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4));
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  }

  function ratio(one, other) {
    const [low, high] = [luminance(one), luminance(other)].sort((a, b) => a - b);
    return (high + 0.05) / (low + 0.05);
  }

  /** The element and all around it, the outermost first. */
  function around(element) {
    const found = [];
    for (let each = element; each; each = each.parentElement) found.unshift(each);
    return found;
  }

  const ofStyle = new WeakMap();
  function style(element) {
    if (!ofStyle.has(element)) ofStyle.set(element, getComputedStyle(element));
    return ofStyle.get(element);
  }

  function ground(element) {
    let below = [255, 255, 255];
    for (const each of around(element)) {
      if (!(each instanceof SVGElement)) below = over(colour(style(each).backgroundColor), below);
    }
    return below;
  }

  function opacity(element) {
    return around(element).reduce((all, each) => all * Number(style(each).opacity), 1);
  }

  function faded(text, element, more = 1) {
    const [r, g, b, a] = colour(text);
    return [r, g, b, a * more * opacity(element)];
  }

  /** What is painted below the middle of a text of a drawing: the filled shapes before it. */
  function drawnGround(text) {
    const svg = text.ownerSVGElement;
    const box = text.getBoundingClientRect();
    const middle = new DOMPoint(box.x + box.width / 2, box.y + box.height / 2);
    let below = ground(svg);
    for (const shape of svg.querySelectorAll("path, rect, circle, ellipse, polygon")) {
      if (shape.compareDocumentPosition(text) & Node.DOCUMENT_POSITION_PRECEDING) break;
      if (shape.closest("defs, symbol, clipPath, marker") || style(shape).fill === "none") continue;
      const place = shape.getScreenCTM();
      if (!place || !shape.isPointInFill(middle.matrixTransform(place.inverse()))) continue;
      below = over(faded(style(shape).fill, shape, Number(style(shape).fillOpacity)), below);
    }
    return below;
  }

  const wrong = [];
  let count = 0;
  function check(front, below, element, words) {
    count += 1;
    const found = ratio(over(front, below), below);
    if (found >= least) return;
    wrong.push(`${found.toFixed(2)} ${element.tagName}.${element.getAttribute("class")}: ${words.trim().slice(0, 40)}`);
  }

  function checkText(node) {
    const element = node.parentElement;
    if (!element.checkVisibility({ visibilityProperty: true })) return;
    if (element.closest("option, script, style, title, noscript")) return;
    const drawn = element.closest("svg text");
    if (drawn) {
      const fill = style(element).fill;
      if (fill !== "none") check(faded(fill, element, Number(style(element).fillOpacity)), drawnGround(drawn), element, node.data);
    } else {
      check(faded(style(element).color, element), ground(element), element, node.data);
    }
  }

  function checkPseudo(element, name) {
    const own = getComputedStyle(element, name);
    if (!/^(".*[\p{L}\p{N}].*"|.*(attr|counter)\()/u.test(own.content)) return;
    const below = over(colour(own.backgroundColor), ground(element));
    check(faded(own.color, element), below, element, `${name} ${own.content}`);
  }

  function checkField(field) {
    if (["hidden", "checkbox", "radio", "range", "color"].includes(field.type)) return;
    check(faded(style(field).color, field), ground(field), field, `value ${field.name}`);
    if (!field.placeholder) return;
    const own = getComputedStyle(field, "::placeholder");
    check(faded(own.color, field, Number(own.opacity)), ground(field), field, `placeholder ${field.placeholder}`);
  }

  for (const fold of document.querySelectorAll("details")) fold.open = true;
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walker.nextNode()) if (walker.currentNode.data.trim()) checkText(walker.currentNode);
  for (const element of document.body.querySelectorAll("*")) {
    if (element instanceof SVGElement || !element.checkVisibility({ visibilityProperty: true })) continue;
    checkPseudo(element, "::before");
    checkPseudo(element, "::after");
    if (element.matches("input, select, textarea")) checkField(element);
  }
  return { count, wrong: [...new Set(wrong)] };
}
