// Looks at pages in a real browser:  node check.mjs BROWSER OUT MOST_PAGES PAGE.html …
// Fails on: a console error, a request, a page wider than the screen, text boxes that overlap or leave the screen, a serious
// accessibility fault (axe-core), invalid HTML (html-validate), more printed pages than MOST_PAGES. Writes screenshots and PDFs to OUT.
import { mkdir, readFile, writeFile } from 'node:fs/promises';
import { createRequire } from 'node:module';
import { basename, resolve } from 'node:path';
import { pathToFileURL } from 'node:url';

const require = createRequire(`${process.env.SWIMDAYS_BROWSER_MODULES}/x.js`);
const puppeteer = require('puppeteer-core');
const { HtmlValidate } = require('html-validate');
const axe = await readFile(require.resolve('axe-core/axe.min.js'), 'utf8');

const [browserPath, out, mostPages, ...files] = process.argv.slice(2);
await mkdir(out, { recursive: true });
const faults = [];
const fault = (page, text) => faults.push(`${page}: ${text}`);
const widths = [390, 1280];

// In the page: boxes of text that leave the screen or overlap, unless what holds them scrolls by itself.
function boxes() {
  const found = [];
  const wide = document.documentElement.scrollWidth - window.innerWidth;
  if (wide > 0) found.push(`the page is ${wide} px wider than the screen`);
  const scrolls = (e) => { for (; e && e !== document.body; e = e.parentElement) if (getComputedStyle(e).overflowX === 'auto') return true; return false; };
  const name = (e) => `${e.tagName.toLowerCase()} "${(e.textContent || '').trim().slice(0, 40)}"`;
  const texts = [...document.querySelectorAll('h1,h2,h3,p,li,caption,th,td,dt,dd')];
  const placed = texts.map((e) => [e, e.getBoundingClientRect()]).filter(([, b]) => b.width > 0 && b.height > 0);
  for (const [e, b] of placed) {
    if (!scrolls(e) && (b.left < -0.5 || b.right > window.innerWidth + 0.5)) found.push(`${name(e)} leaves the screen`);
    if (e.scrollWidth > e.clientWidth + 1 && getComputedStyle(e).display !== 'inline' && !scrolls(e)) found.push(`${name(e)} is wider than its box`);
  }
  const over = (a, b) => Math.min(a.right, b.right) - Math.max(a.left, b.left) > 1 && Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top) > 1;
  for (let i = 0; i < placed.length; i++)
    for (let k = i + 1; k < placed.length; k++) {
      const [e, a] = placed[i], [f, b] = placed[k];
      if (!e.contains(f) && !f.contains(e) && over(a, b)) found.push(`${name(e)} overlaps ${name(f)}`);
    }
  for (const svg of document.querySelectorAll('svg[role=img]')) {
    const sheet = svg.getBoundingClientRect();
    if (!svg.getAttribute('aria-label') && (!svg.querySelector('title')?.textContent || !svg.querySelector('desc')?.textContent)) found.push('a drawing without words');
    const labels = [...svg.querySelectorAll('text')].map((e) => [e, e.getBoundingClientRect()]);
    labels.forEach(([e, a], i) => {
      if (a.left < sheet.left - 1 || a.right > sheet.right + 1 || a.top < sheet.top - 1 || a.bottom > sheet.bottom + 1) found.push(`label ${name(e)} leaves its drawing`);
      for (const [f, b] of labels.slice(i + 1)) {
        // Boxes of a browser hold the whole line; letters fill about two thirds of it.
        const cut = (r) => ({ left: r.left, right: r.right, top: r.top + 0.22 * r.height, bottom: r.bottom - 0.18 * r.height });
        if (over(cut(a), cut(b))) found.push(`label ${name(e)} overlaps ${name(f)}`);
      }
    });
  }
  if (document.scripts.length) found.push('there is a script');
  return found;
}

const validator = new HtmlValidate({
  extends: ['html-validate:recommended'],
  // A drawing's own marks and long lines are not what is looked for.
  rules: { 'no-inline-style': 'off', 'long-title': 'off', 'svg-focusable': 'off', 'prefer-native-element': 'off' },
});

const browser = await puppeteer.launch({ executablePath: browserPath, args: ['--no-sandbox'] });
for (const file of files) {
  const stem = basename(resolve(file, '..')) + '-' + basename(file, '.html');
  const report = await validator.validateFile(file);
  for (const result of report.results)
    for (const m of result.messages) fault(stem, `line ${m.line}: ${m.message} (${m.ruleId})`);
  const page = await browser.newPage();
  await page.setBypassCSP(true);
  page.on('console', (m) => { if (['error', 'warning'].includes(m.type())) fault(stem, `console: ${m.text()}`); });
  page.on('pageerror', (e) => fault(stem, `error: ${e.message}`));
  const url = pathToFileURL(resolve(file)).href;
  page.on('request', (r) => { if (r.url() !== url && !r.url().startsWith('data:')) fault(stem, `asks for ${r.url().slice(0, 80)}`); });
  for (const scheme of ['light', 'dark']) {
    await page.emulateMediaFeatures([{ name: 'prefers-color-scheme', value: scheme }]);
    for (const width of widths) {
      await page.setViewport({ width, height: 900, deviceScaleFactor: width < 500 ? 2 : 1 });
      await page.goto(url, { waitUntil: 'load' });
      for (const text of await page.evaluate(boxes)) fault(stem, `${width} px, ${scheme}: ${text}`);
      await page.screenshot({ path: `${out}/${stem}-${width}-${scheme}.png`, fullPage: true });
    }
    await page.evaluate(axe);
    const found = await page.evaluate(async () => (await window.axe.run()).violations.map((v) => [v.id, v.impact, v.help, v.nodes.length, v.nodes[0]?.html?.slice(0, 120)]));
    for (const [id, impact, help, n, first] of found)
      if (['serious', 'critical'].includes(impact)) fault(stem, `${scheme}: ${help} (${id}, ${n} places, ${first})`);
  }
  const pdf = Buffer.from(await page.pdf({ format: 'letter', preferCSSPageSize: false }));
  await writeFile(`${out}/${stem}.pdf`, pdf);
  const pages = (pdf.toString('latin1').match(/\/Type\s*\/Page[^s]/g) || []).length;
  console.log(`${stem}: ${pages} printed pages`);
  if (pages < 1 || pages > Number(mostPages)) fault(stem, `${pages} printed pages, at most ${mostPages} wanted`);
  await page.close();
}
await browser.close();
const unique = [...new Set(faults)];
for (const text of unique) console.error(text);
console.log(`${files.length} passed, ${unique.length} failed`.replace(/^\d+/, String(unique.length ? 0 : files.length)));
process.exit(unique.length ? 1 : 0);
