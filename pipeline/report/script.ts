import { createHash } from 'node:crypto';

/**
 * The one script of the report, which chooses pages by scene, state and kind of finding, and keeps the choice in the address. Without it
 * everything can be read, all pages of it. It stands in the document, and the document allows it by its checksum and no other.
 */
export const script = `(() => {
const form = document.getElementById('filter');
const chosen = document.getElementById('chosen');
const names = ['scene', 'state', 'kind'];
const pages = [...document.querySelectorAll('article')];
const rows = [...document.querySelectorAll('#rows tbody tr')];
const rowOf = new Map(rows.map((row) => [row.querySelector('a').hash.slice(1), row]));
const boxes = new Map();
for (const box of document.querySelectorAll('.box')) {
  const of = decodeURIComponent(box.hash.slice(1));
  boxes.set(of, [...(boxes.get(of) || []), box]);
}
function show() {
  const want = Object.fromEntries(names.map((name) => [name, form.elements[name].value]));
  let count = 0;
  for (const page of pages) {
    const { scene, state, kinds } = page.dataset;
    const fits = (!want.scene || scene === want.scene) && (!want.state || state === want.state) &&
      (!want.kind || kinds.split(' ').includes(want.kind));
    page.hidden = !fits;
    const row = rowOf.get(page.id);
    if (row) row.hidden = !fits;
    if (fits) count++;
    for (const finding of page.querySelectorAll('.finding')) {
      finding.hidden = want.kind !== '' && finding.dataset.kind !== want.kind;
      for (const box of boxes.get(finding.id) || []) box.hidden = finding.hidden;
    }
  }
  chosen.value = count + ' of ' + pages.length + ' pages shown';
}
function keep() {
  const query = new URLSearchParams();
  for (const name of names) if (form.elements[name].value) query.set(name, form.elements[name].value);
  const text = query.toString();
  try { history.replaceState(null, '', location.pathname + (text ? '?' + text : '') + location.hash); } catch {}
}
function take() {
  const query = new URLSearchParams(location.search);
  for (const name of names) {
    form.elements[name].value = query.get(name) || '';
    if (form.elements[name].selectedIndex < 0) form.elements[name].value = '';
  }
}
function reveal() {
  const target = document.getElementById(decodeURIComponent(location.hash.slice(1)));
  if (!target) return;
  for (let at = target; at; at = at.parentElement) at.hidden = false;
  target.scrollIntoView();
}
form.addEventListener('change', () => { show(); keep(); });
form.addEventListener('reset', () => setTimeout(() => { show(); keep(); }));
form.addEventListener('submit', (event) => event.preventDefault());
addEventListener('hashchange', reveal);
form.hidden = false;
take();
show();
if (location.hash) reveal();
})();`;

/** What the document's policy names: the script by its SHA-256, in base64 (CSP Level 2, section 7.17.1, hash sources). */
export function scriptHash(): string {
  return `'sha256-${createHash('sha256').update(script).digest('base64')}'`;
}
