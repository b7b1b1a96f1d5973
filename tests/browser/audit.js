// Our own small audit of a page as it stands: names, headings, contrast, room, targets. Returns what it finds, in words.
function audit({ overflow = true, targets = true, contrast = true } = {}) {
  const faults = [];
  const shown = (e) => e.checkVisibility({ checkOpacity: true, checkVisibilityCSS: true }) && !e.closest('.off-screen, [aria-hidden=true]');
  const call = (e) => `${e.tagName.toLowerCase()}${e.id ? `#${e.id}` : ''}${e.classList.length ? `.${[...e.classList].join('.')}` : ''} “${(e.textContent ?? '').trim().slice(0, 40)}”`;

  // The page
  if (!document.title.trim()) faults.push('it has no title');
  if (!document.documentElement.lang) faults.push('it does not say its language');
  const heads = [...document.querySelectorAll('h1')].filter(shown);
  if (heads.length !== 1) faults.push(`it has ${heads.length} h1`);
  if (heads.some((e) => !e.textContent.trim())) faults.push('its h1 is empty');
  let level = 1;
  for (const e of [...document.querySelectorAll('main :is(h1,h2,h3,h4,h5,h6)')].filter(shown)) {
    const own = Number(e.tagName[1]);
    if (own > level + 1) faults.push(`${call(e)}: a heading skips from ${level} to ${own}`);
    level = own;
  }
  const ids = new Set();
  for (const e of document.querySelectorAll('[id]')) {
    if (ids.has(e.id)) faults.push(`the id ${e.id} stands twice`);
    ids.add(e.id);
  }

  // Names
  const nameOf = (e) => {
    const by = (e.getAttribute('aria-labelledby') ?? '').split(/\s+/).filter(Boolean).map((id) => document.getElementById(id)?.textContent ?? '');
    return [by.join(' '), e.getAttribute('aria-label'), ...[...(e.labels ?? [])].map((label) => label.textContent), e.getAttribute('alt'), e.querySelector?.('img[alt]')?.alt,
      e.querySelector?.(':scope > title, :scope > figcaption, :scope > caption')?.textContent,
      ['INPUT', 'SELECT', 'TEXTAREA'].includes(e.tagName) ? '' : e.textContent, e.getAttribute('title')].some((name) => name && name.trim());
  };
  const controls = [...document.querySelectorAll('a[href], button, input:not([type=hidden]), select, textarea, summary, [role=button], [role=slider], [tabindex="0"], iframe, dialog[open], [role=img], [role=region], nav')].filter(shown);
  for (const e of controls) if (!nameOf(e)) faults.push(`${call(e)}: it has no name`);
  for (const e of document.querySelectorAll('img')) if (shown(e) && e.getAttribute('alt') === null) faults.push(`${call(e)}: a picture without alt`);
  for (const e of document.querySelectorAll('label[for]')) if (!document.getElementById(e.htmlFor)) faults.push(`${call(e)}: a label of nothing`);

  // Contrast (WCAG 2.2, relative luminance)
  const numbers = (colour) => {
    const found = colour.match(/-?[\d.]+(e-?\d+)?%?/g);
    if (colour.startsWith('color(srgb')) return found.slice(0, 3).map((n) => 255 * Number(n)).concat(found[3] === undefined ? 1 : Number(found[3]));
    if (!colour.startsWith('rgb')) return null;
    return [...found.slice(0, 3).map(Number), found[3] === undefined ? 1 : Number(found[3])];
  };
  const over = (top, below) => [0, 1, 2].map((k) => top[k] * top[3] + below[k] * (1 - top[3])).concat(1);
  const lightness = ([r, g, b]) => [r, g, b].map((c) => c / 255).map((c) => (c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4))
    .reduce((sum, c, k) => sum + c * [0.2126, 0.7152, 0.0722][k], 0);
  const groundOf = (e) => {
    const layers = [];
    for (let at = e; at; at = at.parentElement) {
      const ground = numbers(getComputedStyle(at).backgroundColor);
      if (ground && ground[3] > 0) layers.push(ground);
      if (ground && ground[3] === 1) break;
    }
    const dark = matchMedia('(prefers-color-scheme: dark)').matches;
    return layers.reduceRight((below, layer) => over(layer, below), dark ? [18, 18, 18, 1] : [255, 255, 255, 1]);
  };
  const ratio = (a, b) => (Math.max(lightness(a), lightness(b)) + 0.05) / (Math.min(lightness(a), lightness(b)) + 0.05);
  const judge = (e) => {
    const style = getComputedStyle(e), svg = e instanceof SVGElement;
    const ink = numbers(svg ? style.fill : style.color);
    if (!ink || e.closest(':disabled, [aria-disabled=true]')) return;
    const ground = groundOf(e), size = parseFloat(style.fontSize), bold = Number(style.fontWeight) >= 600;
    const found = ratio(over(ink, ground), ground), least = size >= 24 || (bold && size >= 18.66) ? 3 : 4.5;
    if (found < least - 0.005) faults.push(`${call(e)}: contrast ${found.toFixed(2)}, least ${least}`);
  };
  if (contrast) {
    const judged = new Set();
    const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    while (walker.nextNode()) {
      const e = walker.currentNode.parentElement;
      if (!walker.currentNode.data.trim() || judged.has(e) || /^(SCRIPT|STYLE|NOSCRIPT|OPTION|TITLE|DESC)$/i.test(e.tagName)) continue;
      judged.add(e);
      if (shown(e)) judge(e);
    }
    for (const e of document.querySelectorAll('input:not([type=checkbox]):not([type=radio]):not([type=range]), select, textarea')) if (shown(e)) judge(e);
  }

  // Room
  const room = document.documentElement.clientWidth;
  if (overflow && document.documentElement.scrollWidth > room + 1) {
    const wide = [...document.querySelectorAll('main *')].filter((e) => shown(e) && e.getBoundingClientRect().right > room + 1
      && !e.parentElement.closest('.scroll, svg, [role=region]')).slice(0, 3);
    faults.push(`it is ${document.documentElement.scrollWidth} wide where there is room for ${room}: ${wide.map(call).join('; ')}`);
  }
  if (targets)
    for (const e of document.querySelectorAll('button, input:not([type=hidden]), select, textarea, summary, nav a, .button')) {
      if (!shown(e) || e.closest('svg')) continue;
      const label = e.labels?.[0];
      const boxes = [e, label?.contains(e) ? label : null].filter(Boolean).map((one) => one.getBoundingClientRect());
      const height = Math.max(...boxes.map((box) => box.height)), width = Math.max(...boxes.map((box) => box.width));
      if (height < 23.5 || width < 23.5) {
        const tick = /^(checkbox|radio)$/.test(e.type) && label; // a label beside it is part of the target
        if (!tick || label.getBoundingClientRect().height < 20) faults.push(`${call(e)}: a target of ${Math.round(width)} × ${Math.round(height)}`);
      }
    }
  return faults;
}
