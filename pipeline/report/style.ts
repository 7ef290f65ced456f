import { boxColours, palettes, pinColour, surround, variables } from './palette.js';

/** The style sheet of the report: one of its own, in the document, so that the file can go anywhere. */

/** More plates than this a page has not: the line, four inks and some extra ones. */
const mostPlates = 24;

/** Heat pictures there are of three kinds. */
const mostHeats = 3;

/** Shows what was chosen, and its scale: `h1` is the second heat picture of the strip, `p0` the first plate. */
function shown(kind: 'heat' | 'plate', count: number): string {
  const letter = kind === 'heat' ? 'h' : 'p';
  const each = Array.from({ length: count }, (_, tile) => `.${letter}${tile}:checked~`);
  const shows = each
    .map((chosen, tile) => `${chosen}.stack .${kind},${chosen}.scale.${letter}${tile}`)
    .join(',');
  const moves = each.map((chosen, tile) => `${chosen}.stack .${kind} img{top:${tile * -100}%}`).join('');
  return `${shows}{display:block}${moves}`;
}

/** Severities differ by shape as well: an octagon, a triangle, a disc; a tick is what is done. */
const shapes = {
  stop: 'polygon(30% 0,70% 0,100% 30%,100% 70%,70% 100%,30% 100%,0 70%,0 30%)',
  warn: 'polygon(50% 5%,100% 95%,0 95%)',
  note: 'circle(40%)',
  done: 'polygon(40% 90%,5% 55%,18% 42%,40% 64%,82% 15%,95% 28%)',
} as const satisfies Readonly<Record<string, string>>;

const base = `
:root{color-scheme:light dark;${variables(palettes.light)}}
@media (prefers-color-scheme:dark){:root{${variables(palettes.dark)}}}
*,*::before{box-sizing:border-box}
html{scroll-padding-top:1rem}
body{margin:0 auto;max-width:80rem;padding:0 1rem 3rem;background:var(--ground);color:var(--text);font:1rem/1.5 system-ui,sans-serif;overflow-wrap:anywhere}
a{color:var(--link)}
a,button,select,summary,input,label{min-height:1.5rem}
:focus-visible{outline:3px solid var(--focus);outline-offset:2px}
h1{font-size:1.6rem;line-height:1.2;margin:1rem 0 .5rem}
h2{font-size:1.25rem;margin:2rem 0 .5rem}
h3{font-size:1.1rem;margin:0 0 .25rem;display:flex;flex-wrap:wrap;gap:.25rem .75rem;align-items:center}
h4{font-size:1rem;margin:0 0 .25rem}
code,.name{font-family:ui-monospace,monospace;font-size:.9em}
.skip{position:absolute;left:-200vw}
.skip:focus{left:1rem;top:.5rem;background:var(--ground);padding:.25rem .5rem}
.symbols{position:absolute;width:0;height:0}
nav ul,.counts{list-style:none;margin:0;padding:0;display:flex;flex-wrap:wrap;gap:.25rem 1.25rem}
nav a{display:inline-block;padding:.15rem 0}
.caution{border:1px solid var(--frame);padding:.5rem .75rem;margin:1rem 0}
.caution p{margin:.25rem 0}
.mark{display:inline-flex;align-items:baseline;gap:.3em;font-weight:600;white-space:nowrap}
.mark::before{content:"";width:.85em;height:.85em;background:currentColor;flex:none;forced-color-adjust:none;print-color-adjust:exact}
${Object.entries(shapes)
  .map(([name, points]) => `.mark.${name}::before{clip-path:${points}}`)
  .join('')}
.mark.stop{color:var(--stop)}.mark.warn{color:var(--warn)}.mark.note{color:var(--note)}.mark.done{color:var(--done)}
.summary{font-size:1.1rem;margin:.25rem 0}
.scroll{overflow-x:auto;border:1px solid var(--rule)}
table{border-collapse:collapse;width:100%;min-width:34rem}
caption{text-align:left;padding:.25rem .5rem;color:var(--quiet)}
th,td{text-align:left;vertical-align:top;padding:.25rem .5rem;border-top:1px solid var(--rule);overflow-wrap:normal}
th[scope=row]{white-space:nowrap}
td.why{min-width:14rem;overflow-wrap:anywhere}
thead th{background:var(--raised)}
.links a{display:inline-block;padding:0 .25rem;min-width:1.5rem}
form{display:flex;flex-wrap:wrap;gap:.25rem 1.25rem;align-items:center;margin:1rem 0;padding:.5rem .75rem;border:1px solid var(--rule)}
form[hidden]{display:none}
form p{margin:0;max-width:100%}
select,button{font:inherit;color:inherit;background:var(--ground);border:1px solid var(--frame);padding:.15rem .4rem;max-width:100%}
`;

const page = `
article{border-top:2px solid var(--frame);padding:.75rem 0 1.5rem;content-visibility:auto;contain-intrinsic-size:auto 60rem}
article:target>h3{background:var(--raised)}
.facts,.source,.none{color:var(--quiet);margin:.15rem 0}
.two{display:grid;gap:1rem 1.5rem;grid-template-columns:minmax(0,1fr)}
@media (min-width:60rem){.two{grid-template-columns:minmax(0,1fr) minmax(0,1fr)}}
.look{border:0;margin:0;padding:0;min-width:0}
.look legend{padding:0;color:var(--quiet);margin-bottom:.25rem}
.look input{position:absolute;opacity:0;width:1rem;height:1rem;min-height:0;margin:.3rem}
.look label{display:inline-block;margin:0 .35rem .35rem 0;padding:.05rem .6rem;border:1px solid var(--frame);border-radius:1rem;cursor:pointer}
.look label::before{content:"";display:inline-block;width:.8em;height:.8em;margin-right:.4em;border:2px solid;border-radius:50%;vertical-align:-.06em}
.look .marks+label::before{border-radius:0}
.look input:checked+label::before{border-width:.4em}
.look input:focus-visible+label{outline:3px solid var(--focus);outline-offset:2px}
.stack{position:relative;width:min(100%,calc(85vh*var(--r)));aspect-ratio:var(--r);margin:.5rem 0;background:${surround};outline:1px solid var(--frame)}
.stack>img{display:block;width:100%;height:100%}
.layer{position:absolute;inset:0;overflow:hidden;display:none}
.layer.plate{background:#fff}
.layer img{position:absolute;left:0;width:100%;height:calc(var(--n)*100%);top:0}
.scale{display:none;width:min(100%,23rem);aspect-ratio:364/46;margin:.25rem 0}
${shown('heat', mostHeats)}${shown('plate', mostPlates)}
.trim{position:absolute;border:1px solid #000;outline:1px solid #fff;pointer-events:none}
.boxes,.pins,.changes{display:none}
.boxed:checked~.stack .boxes,.pinned:checked~.stack .pins,.changed:checked~.stack .changes{display:block}
.changes:has(:target){display:block}
.box{position:absolute;min-height:0;border:2px solid;outline:1px solid #fff;box-shadow:inset 0 0 0 1px #000;text-decoration:none}
.box b{position:absolute;left:-2px;bottom:100%;background:#fff;color:#000;border:1px solid #000;font:bold .7rem/1.2 system-ui,sans-serif;padding:0 .25em;white-space:nowrap;z-index:1}
.box.stop{border-color:${boxColours.stop}}.box.warn{border-color:${boxColours.warn};border-style:dashed}.box.note{border-color:${boxColours.note};border-style:dotted}
.box.change{border-color:${boxColours.change};border-style:double;border-width:3px}
.since{border-left:4px solid ${boxColours.change};padding:.25rem 0 .25rem .75rem;margin:0 0 .75rem}
.since ul{list-style:none;margin:0;padding:0}
.since p{margin:.15rem 0}
.since li a{display:inline-block;min-width:1.5rem}
.box:target{outline:4px solid #fff;box-shadow:0 0 0 7px #000;z-index:1}
.box:hover b,.box:target b{background:#000;color:#fff;z-index:2}
.pin{position:absolute;width:0;height:0;min-height:0;text-decoration:none}
.pin::before{content:"";position:absolute;left:-1px;bottom:0;width:2px;height:.8rem;background:${pinColour};outline:1px solid #fff}
.pin b,.editors .number{display:inline-block;min-width:1.5em;font:bold .75rem/1.5 system-ui,sans-serif;text-align:center;border-radius:.75em;background:${pinColour};color:#fff;border:1px solid #fff;forced-color-adjust:none;print-color-adjust:exact}
.pin b{position:absolute;left:0;bottom:.7rem;transform:translateX(-50%);padding:0 .2em}
.pin.answered b,.editors.answered .number{background:#fff;color:${pinColour};border-color:${pinColour}}
.editors.closed .number{background:#fff;color:#555;border-color:#555}
.pin:target b,.pin:hover b{outline:3px solid #000;z-index:2}
.notes{list-style:none;margin:0;padding:0}
.editors{border-left:4px solid var(--rule);padding:.1rem 0 .1rem .75rem;margin:0 0 .5rem}
.editors.open{border-color:${pinColour}}
.editors.closed{color:var(--quiet)}
.editors:target{background:var(--raised)}
.editors .state{font-weight:600}
.editors p{margin:.1rem 0}
.findings{list-style:none;margin:0;padding:0}
.finding{border-left:4px solid var(--rule);padding:.25rem 0 .25rem .75rem;margin:0 0 .75rem}
.finding.stop{border-color:var(--stop)}.finding.warn{border-color:var(--warn)}.finding.note{border-color:var(--note)}
.finding:target{background:var(--raised)}
.finding h4 .mark{margin-right:.25em}
dl{display:grid;grid-template-columns:minmax(4.5rem,auto) minmax(0,1fr);gap:.1rem .75rem;margin:0}
dt{color:var(--quiet)}
dd{margin:0}
dd ul{list-style:none;margin:0;padding:0}
dd li a,.open a{display:inline-block;min-width:1.5rem}
summary{cursor:pointer}
`;

/** On paper every page shows what is chosen on the screen, and all that can be opened is open. */
const print = `
@page{size:A4;margin:15mm}
@media print{
:root{color-scheme:light;${variables(palettes.light)}}
body{max-width:none;padding:0;font-size:9.5pt}
nav,form,.skip,.look input,.look label,.look legend,.open{display:none!important}
.scroll{max-height:none;overflow:visible;border:0}
table{min-width:0}
thead{display:table-header-group}
article{content-visibility:visible;contain-intrinsic-size:none;break-before:page;border:0}
tr,.stack,h3,h4,dd li{break-inside:avoid}
h2,h3{break-after:avoid}
.two{display:block}
.stack{width:min(100%,calc(120mm*var(--r)))}
dd ul{columns:2}
h4{break-after:avoid}
.stack,.layer,.box,.box b,.scale{print-color-adjust:exact}
details::details-content{content-visibility:visible;display:block}
}
@media (prefers-reduced-motion:reduce){*{transition:none;animation:none;scroll-behavior:auto}}
@media (forced-colors:active){.box,.trim{forced-color-adjust:none}.mark{border:1px solid}}
`;

/** All of it, without the line ends that only part one rule from the next. */
export const styleSheet = [base, page, print].join('').replaceAll('\n', '');
