import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { Validator } from '@cfworker/json-schema';
import { describe, expect, test } from 'vitest';
import { packageRoot } from '../../../config/package-root.js';
import { visible } from '../../../config/visible-text.js';
import { boxColours, palettes } from '../../../pipeline/report/palette.js';
import { reportPage } from '../../../pipeline/report/report-page.js';
import { reportJsonSchema, reportSchemaPath } from '../../../pipeline/report/report-schema.js';
import { fabricatedReport, hostileNames } from '../../helpers/fabricated-report.js';
import { parsedHtml } from '../../helpers/parsed-html.js';

const data = fabricatedReport(12);
const text = reportPage(data);
const page = parsedHtml(text);

describe('report.html', () => {
  test('is HTML without a mistake, in a language, with one heading of the first level and none skipped', () => {
    expect(page.problems).toEqual([]);
    expect(page.all('html')[0].attributes.lang).toBe('en');
    const levels = page.elements.flatMap(({ name }) => (/^h[1-6]$/.test(name) ? [Number(name[1])] : []));
    expect(levels.filter((level) => level === 1)).toEqual([1]);
    for (const [at, level] of levels.entries()) expect(level).toBeLessThanOrEqual((levels[at - 1] ?? 0) + 1);
  });

  test('has ids that are unique, and every address within it leads to one', () => {
    const ids = page.elements.flatMap(({ attributes }) => attributes.id ?? []);
    expect(new Set(ids).size).toBe(ids.length);
    const inner = page.elements.flatMap(({ attributes }) =>
      attributes.href?.startsWith('#') ? [attributes.href.slice(1)] : [],
    );
    expect(inner.length).toBeGreaterThan(100);
    expect(inner.filter((id) => !ids.includes(id))).toEqual([]);
    const named = page.elements.flatMap(({ attributes }) =>
      [attributes.for, attributes['aria-labelledby']].flatMap((id) => id?.split(' ') ?? []),
    );
    expect(named.filter((id) => !ids.includes(id))).toEqual([]);
  });

  test('begins with the way past all else, and its parts have names', () => {
    const links = page.all('a');
    expect(links[0].attributes).toMatchObject({ class: 'skip', href: '#pages' });
    expect(page.all('main')).toHaveLength(1);
    for (const part of [...page.all('nav'), ...page.all('article')])
      expect(part.attributes['aria-label']).toBeTruthy();
    for (const table of page.all('table'))
      expect(table.children.some(({ name }) => name === 'caption')).toBe(true);
    for (const head of page.all('th')) expect(head.attributes.scope).toMatch(/^(row|col)$/);
  });

  test('says of each picture what it shows, and is loaded only when it is looked at', () => {
    const pictures = page.all('img');
    expect(pictures.length).toBeGreaterThan(20);
    for (const { attributes } of pictures) {
      expect(attributes.alt).toMatch(/^Pages? /);
      expect(attributes.loading).toBe('lazy');
    }
  });

  test('reaches for nothing but its own pictures, and names no machine', () => {
    expect(text).not.toMatch(/https?:|\/srv\/jobs|file:/);
    const paths = [
      ...page.all('img').map(({ attributes }) => attributes.src),
      ...page.all('a').map(({ attributes }) => attributes.href),
    ];
    for (const path of paths) expect(path).toMatch(/^(#|img\/[\w%.~!*'()-]+$)/);
    const own = new Set(
      data.pages.flatMap(({ pictures }) =>
        pictures === null ? [] : [pictures.path, ...pictures.layers.map((layer) => layer.path)],
      ),
    );
    for (const path of paths.filter((one) => one?.startsWith('img/')))
      expect(own).toContain(decodeURIComponent(path ?? ''));
  });

  test('runs no script but its own, which its policy names by checksum', () => {
    expect(page.all('script')).toHaveLength(1);
    const [{ attributes }] = page.all('meta').filter((one) => one.attributes['http-equiv'] !== undefined);
    expect(attributes.content).toMatch(/default-src 'none';.*script-src 'sha256-[\w+/=]{44}'/);
    expect(
      page.elements.flatMap((one) => Object.keys(one.attributes)).filter((name) => name.startsWith('on')),
    ).toEqual([]);
  });

  test('shows names as they are spelled, whatever they are made of', () => {
    const shown = page.text;
    expect(shown).toContain('<img src=x onerror=alert(1)>.tif');
    expect(shown).toContain('p2 \\u202efit.eruoloc\\u0007.tif');
    expect(shown).toContain(hostileNames[2]);
    expect(shown).toContain(hostileNames[3]);
    expect(page.all('img').filter(({ attributes }) => attributes.src === 'x')).toEqual([]);
    expect(page.all('b').map((one) => one.text)).not.toContain('Iron');
    const named = page.all('bdi').filter((one) => one.text === hostileNames[2]);
    expect(named.length).toBeGreaterThan(0);
  });

  test('has every finding in words with what was found, wanted and to do, and its number', () => {
    for (const { page: id, findings } of data.pages) {
      const items = page.all('li').filter(({ attributes }) => attributes.id?.startsWith(`f.${id}.`));
      expect(items).toHaveLength(findings.length);
      for (const [at, { number, severity, message, remedy, source, accepted }] of findings.entries()) {
        const words = items[at].text;
        expect(words).toContain(`${number}. `);
        expect(words).toContain({ stop: 'Stop', warn: 'Warning', note: 'Note' }[severity]);
        for (const part of [remedy, source, accepted]) expect(words).toContain(part ?? '');
        expect(words).toContain(visible(message));
      }
    }
  });

  test('has the boxes of the JSON, in percent of the picture', () => {
    const boxes = page.all('a').filter(({ attributes }) => attributes.class?.startsWith('box '));
    const places = data.pages.flatMap(({ findings }) => findings.flatMap((finding) => finding.places));
    expect(boxes.map((one) => one.text)).toEqual(places.map(({ number }) => number));
    expect(boxes.map(({ attributes }) => attributes.style)).toEqual(
      places.map(
        ({ box }) =>
          `left:${box.leftPercent}%;top:${box.topPercent}%;width:${box.widthPercent}%;height:${box.heightPercent}%`,
      ),
    );
  });

  test('speaks of lengths in the job’s unit', () => {
    expect(page.text).toMatch(/-2 \/ -1 mm, 0\.2 x 0\.3 mm: 0\.01 mm/);
    expect(parsedHtml(reportPage(fabricatedReport(3, 'in'))).text).toMatch(
      /-0\.079 \/ -0\.039 in, 0\.008 x 0\.012 in/,
    );
  });

  test('says what a screen cannot promise, and that the printer decides', () => {
    expect(page.text).toContain('A soft proof is not a contract proof');
    expect(page.text).toContain("The printer's own specification decides");
  });

  test('gives the same bytes for the same issue, and stays below a megabyte at 200 pages', () => {
    expect(reportPage(fabricatedReport(12))).toBe(text);
    const many = fabricatedReport(197);
    for (const one of many.pages)
      one.findings = one.findings
        .slice(0, 2)
        .map((finding) => ({ ...finding, places: finding.places.slice(0, 4) }));
    expect(Buffer.byteLength(reportPage(many))).toBeLessThan(1_000_000);
  });
});

describe('report.json', () => {
  test('is what its schema says, and the schema is the code’s; if not, run: npm run schema', () => {
    const committed = JSON.parse(readFileSync(join(packageRoot(), reportSchemaPath), 'utf8'));
    expect(committed).toEqual(reportJsonSchema());
    const validator = new Validator(committed, '2020-12', false);
    const { valid, errors } = validator.validate(JSON.parse(JSON.stringify(data)));
    expect(errors).toEqual([]);
    expect(valid).toBe(true);
    expect(validator.validate({ ...data, format: 'another' }).valid).toBe(false);
    expect(validator.validate({ ...data, madeAt: 'noon' }).valid).toBe(false);
  });
});

/** WCAG 2.2, relative luminance and contrast ratio (success criterion 1.4.3). */
function contrast(one: string, other: string): number {
  const luminance = (colour: string) => {
    const [red, green, blue] = [1, 3, 5].map((at) => {
      const share = Number.parseInt(colour.slice(at, at + 2), 16) / 255;
      return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
    });
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue;
  };
  const [light, dark] = [luminance(one), luminance(other)].sort((a, b) => b - a);
  return (light + 0.05) / (dark + 0.05);
}

describe('the colours', () => {
  test.each(Object.entries(palettes))(
    '%s: text stands out from its ground by 4.5 to 1, frames by 3 to 1',
    (_name, palette) => {
      for (const ground of [palette.ground, palette.raised]) {
        for (const name of ['text', 'quiet', 'link', 'stop', 'warn', 'note', 'done'] as const) {
          expect(contrast(palette[name], ground), `${name} on ${ground}`).toBeGreaterThanOrEqual(4.5);
        }
        for (const name of ['frame', 'focus'] as const)
          expect(contrast(palette[name], ground), name).toBeGreaterThanOrEqual(3);
      }
    },
  );

  test('are neutral where pages are looked at, and boxes differ by line as well as colour', () => {
    for (const { ground, raised } of Object.values(palettes)) {
      for (const colour of [ground, raised]) expect(colour.slice(1, 3).repeat(3)).toBe(colour.slice(1));
    }
    expect(new Set(Object.values(boxColours)).size).toBe(4);
    expect(text).toMatch(/\.box\.warn\{[^}]*dashed/);
    expect(text).toMatch(/\.box\.change\{[^}]*double/);
    expect(text).toMatch(/\.box\.note\{[^}]*dotted/);
  });
});
