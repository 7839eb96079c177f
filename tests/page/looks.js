// Put into every page that is visited: what is asked of it wherever it is looked at. Each answers a list of what is wrong.
globalThis.looks = (() => {
  const parse = (text) => { const m = (text.match(/[\d.]+/g) || [0, 0, 0, 0]).map(Number); return { rgb: m.slice(0, 3), a: m.length > 3 ? m[3] : 1 }; };
  // WCAG 2.2, "relative luminance" and "contrast ratio".
  const luminance = (rgb) => rgb.map((v) => { v /= 255; return v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4; }).reduce((sum, v, i) => sum + v * [0.2126, 0.7152, 0.0722][i], 0);
  const contrast = (one, other) => { const a = luminance(one), b = luminance(other); return (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05); };
  const ground = (node) => { for (; node; node = node.parentElement) { const c = parse(getComputedStyle(node).backgroundColor); if (c.a > 0.99) return c.rgb; } return [255, 255, 255]; };
  const shown = (node) => node.checkVisibility({ checkOpacity: true, checkVisibilityCSS: true }) && !node.classList.contains("heard-only");
  const uppermost = () => [...document.querySelectorAll(".over:not([hidden])")].at(-1);
  const seen = (node) => shown(node) && (!uppermost() || uppermost().contains(node));

  // Success criterion 1.4.3: 4.5 to 1, or 3 to 1 for text of 24 px, or 18.66 px bold. From the colours the browser laid out;
  // text in a picture is compared with the nearest filled ground.
  function poor_contrast() {
    const bad = [];
    for (const node of document.querySelectorAll("body *")) {
      if (![...node.childNodes].some((n) => n.nodeType === 3 && n.textContent.trim()) || !seen(node)) continue;
      const style = getComputedStyle(node), in_svg = node instanceof SVGElement;
      const px = parseFloat(style.fontSize) * (in_svg ? node.getScreenCTM().a : 1), large = px >= 24 || (px >= 18.66 && Number(style.fontWeight) >= 700);
      const found = contrast(parse(in_svg ? style.fill : style.color).rgb, ground(node));
      if (found < (large ? 3 : 4.5)) bad.push(`${node.tagName} "${node.textContent.trim().slice(0, 30)}" ${found.toFixed(2)}`);
    }
    return bad;
  }

  // Success criterion 1.4.11: 3 to 1 for the edges of what can be touched and for the shapes that carry meaning: the nut's
  // filled flats, the column's frame, bar, limit and band, an alarm's frame.
  function weak_shapes() {
    const bad = [], look = (name, ...ratios) => { if (Math.max(...ratios) < 3) bad.push(`${name} ${Math.max(...ratios).toFixed(2)}`); };
    const colour = (node, property) => parse(getComputedStyle(node)[property]);
    for (const node of document.querySelectorAll("button, a.press, input[type=text], select, textarea, .card > label")) {
      if (!seen(node)) continue;
      const around = ground(node.parentElement), fill = colour(node, "backgroundColor");
      look(`edge of "${node.textContent.trim().slice(0, 24) || node.name}"`, contrast(colour(node, "borderTopColor").rgb, around), fill.a > 0.99 ? contrast(fill.rgb, around) : 1);
    }
    const frame = document.querySelector("#column-box .frame");
    for (const shape of ["#nut-box .filled", "#column-box .frame", "#column-box .bar", "#column-box .limit", "#column-box .band", "#column-box .arrow"])
      for (const node of document.querySelectorAll(shape)) {
        if (!seen(node)) continue;
        const fill = getComputedStyle(node).fill, on = node.matches(".bar, .arrow") ? colour(frame, "fill").rgb : ground(node);
        look(shape, fill.startsWith("rgb") && !node.matches(".frame") ? contrast(parse(fill).rgb, on) : 1, contrast(colour(node, "stroke").rgb, on));
      }
    const over = uppermost();
    if (over && parseFloat(getComputedStyle(over).borderTopWidth) > 0) look("an alarm's frame", contrast(colour(over, "borderTopColor").rgb, ground(over)));
    return bad;
  }

  // WCAG asks for 44 px at most; fingers in gloves need more.
  const small_targets = () => [...document.querySelectorAll("button, a.press, input:not([type=radio], [type=checkbox]), select, textarea, .card label, summary")]
    .filter(seen).map((n) => ({ n, box: n.getBoundingClientRect() })).filter(({ box }) => box.width > 0 && (box.height < 63.5 || box.width < 63.5))
    .map(({ n, box }) => `${n.tagName} "${n.textContent.trim().slice(0, 20)}" ${box.width.toFixed(0)}x${box.height.toFixed(0)}`);

  const outside = (box) => box.right > innerWidth + 1 || box.bottom > innerHeight + 1 || box.left < -1 || box.top < -1;
  // The live page is one glance: nothing of it may need scrolling, and no word may be cut. Of anything else, nothing may stick
  // out sideways but what scrolls in a box of its own.
  function cut_off() {
    const bad = [...document.querySelectorAll("#live:not([hidden]) > *, #live:not([hidden]) #word, #live:not([hidden]) #tools > *")]
      .filter((n) => n.checkVisibility() && outside(n.getBoundingClientRect())).map((n) => n.id || n.tagName);
    const over = uppermost();
    for (const box of [document.documentElement, over].filter(Boolean))
      if (box.scrollWidth > box.clientWidth) bad.push(`${box.id || "the page"} is ${box.scrollWidth} px wide on a screen of ${box.clientWidth}`);
    if (over) for (const n of over.querySelectorAll("h2, p, li, button")) if (shown(n) && (n.getBoundingClientRect().right > innerWidth || n.scrollWidth > n.clientWidth + 1 && getComputedStyle(n).display !== "inline")) bad.push(`"${n.textContent.trim().slice(0, 30)}" sticks out`);
    return bad;
  }

  // How many presses of Tab it looks from what has the focus to the selector: in the order of the document, round its end, at least
  // one; 0 when it is there. A group of radio buttons is one stop.
  function tabs_to(selector) {
    if (document.activeElement?.matches(selector)) return 0;
    const group = (n) => [...document.querySelectorAll(`input[type=radio][name="${n.name}"]`)].filter((one) => one.form === n.form);
    const stops = [...document.querySelectorAll("a[href], button, input, select, textarea, summary, [tabindex]")].filter((n) =>
      n.tabIndex >= 0 && !n.disabled && !n.closest("[inert]") && n.checkVisibility({ checkVisibilityCSS: true }) && !(n.type === "radio" && n !== (group(n).find((one) => one.checked) || group(n)[0])));
    const here = stops.indexOf(document.activeElement), there = stops.findIndex((n) => n.matches(selector));
    return here >= 0 && there > here ? there - here : 1;
  }

  return { tabs_to, poor_contrast, weak_shapes, small_targets, cut_off };
})();
