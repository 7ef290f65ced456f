import type { Job } from '../../config/job.js';
import { parseJob } from '../../config/load-job.js';
import type { PageReport } from '../../pipeline/issue/report.js';
import { type ReportedIssue, reportData } from '../../pipeline/issue/report-data.js';
import type { Finding, FoundPlaces, Severity } from '../../pipeline/model/findings.js';
import type { StandingNote } from '../../pipeline/model/page-notes.js';
import type { OutputFile } from '../../pipeline/model/page-result.js';
import type { ReportData } from '../../pipeline/report/report-form.js';

/** Reports of issues that nobody has run: pages in every state, with findings of every kind and names that mean harm. */

/** A name of a file that is HTML, one that turns the direction of text, one of letters from right to left, one that is very long. */
export const hostileNames = [
  '<img src=x onerror=alert(1)>.tif',
  'p2 \u202Efit.eruoloc\u0007.tif',
  'עמוד 3 & צבע "סופי".tif',
  `${'p4 a very long name '.repeat(12)}.tif`,
  "p5 l'encre </script><script>alert(2)</script>.tif",
];

const states = ['done', 'attention', 'stopped', 'ready', 'waiting', 'missing', 'contested', 'held'] as const;

/** The job of such an issue. @param pages how many single pages it has, beside a cover and a spread */
export function fabricatedJob(pages: number, units: 'mm' | 'in' = 'mm'): Job {
  const [trim, bleed, safe] = units === 'mm' ? ['[168, 260]', 3, 6] : ['[6.625, 10.25]', 0.125, 0.25];
  const yaml = `
issue: FAB01
title: "Salt & <b>Iron</b>"
number: 7
units: ${units}
print: { trim: ${trim}, bleed: ${bleed}, safe: ${safe}, press: cgats-tr006 }
scenes: [{ id: quay, title: 'The quay "at" night' }, { id: mill, title: Mill }]
pages:
  - page: cover
  - pages: 1-${pages}
    scene: quay
  - spread: ${pages + 2 - (pages % 2)}-${pages + 3 - (pages % 2)}
    scene: mill
`;
  return parseJob(yaml, '/srv/jobs/fab01');
}

/** A finding with places all over the page. @param count of places; none for a finding about the page as a whole */
export function fabricatedFinding(
  code: string,
  severity: Severity,
  count = 0,
  more: Partial<Finding> = {},
): Finding {
  const places: FoundPlaces = {
    shown: Array.from({ length: Math.min(count, 30) }, (_, n) => ({
      ...{ xMm: -2 + ((n * 37) % 150), yMm: -1 + ((n * 53) % 240), widthMm: 0.2 + n, heightMm: 0.3 + n / 2 },
      measured: `0.0${n + 1} mm`,
    })),
    inAll: count,
  };
  return {
    ...{
      code,
      severity,
      page: undefined,
      file: undefined,
      message: `What ${code} means here`,
      measured: '0.05 mm',
    },
    ...{ limit: '0.07 mm', source: 'common practice, no published source', remedy: `Put ${code} right.` },
    ...(count === 0 ? {} : { places }),
    ...more,
  };
}

function findingsOf(at: number): Finding[] {
  const file = hostileNames[at % hostileNames.length];
  return [
    [],
    [fabricatedFinding('line-thin', 'warn', 7), fabricatedFinding('plates-fringe', 'note')],
    [
      fabricatedFinding('note-first', 'note', 1, { accepted: 'the artist wants <it> so', limit: undefined }),
      fabricatedFinding('bleed-missing', 'stop', 2, { file, message: `Bleed of ${file} is <missing>` }),
      fabricatedFinding('line-thin', 'warn', 64),
    ],
    [fabricatedFinding('colour-ppi-low', 'warn', 0, { file, measured: undefined, source: undefined })],
  ][at % 4];
}

function viewsOf(baseName: string): OutputFile[] {
  const output = (
    role: string,
    end: string,
    width: number,
    height: number,
    shows?: readonly string[],
  ): OutputFile => ({
    ...{ product: 'views', role, name: `${baseName}${end}`, bytes: 1, sha256: role, width, height, ppi: 75 },
    ...(shows === undefined ? {} : { shows }),
  });
  return [
    output('view', '_view.jpg', 520, 800),
    output('plates', '_plates.jpg', 390, 3000, ['line', 'cyan', 'magenta', 'yellow', 'black']),
    output('heat', '_heat.png', 195, 900, ['ink-coverage', 'out-of-gamut', 'fidelity']),
  ];
}

/** What a run would report of the job's pages. */
export function fabricatedIssue(job: Job): ReportedIssue {
  const pages = job.pages.map((page, at): PageReport => {
    const state = states[at % states.length];
    const hasNone = state === 'missing' || state === 'waiting';
    const findings = hasNone ? [] : findingsOf(at).map((finding) => ({ ...finding, page: page.id }));
    return {
      ...{ page: page.id, kind: page.kind, scene: page.scene, key: 'k', state, findings },
      condition: hasNone ? undefined : condition,
      why: findings[0]?.message ?? 'Nothing to look at',
      files: [
        {
          name: hostileNames[at % hostileNames.length],
          page: page.id,
          part: 'colour',
          version: 1,
          picture: undefined,
          rule: '',
        },
      ],
      ...{
        missing: state === 'waiting' ? ['line'] : [],
        measures: undefined,
        used: [],
        standsMeanwhile: undefined,
        ...fabricatedNotes(at),
      },
      outputs: hasNone ? [] : viewsOf(`FAB01 ${page.id} é`),
    };
  });
  const unknown = hostileNames.map((name) => ({
    name,
    rule: `nobody knows ${name}`,
    remedy: 'Name its page.',
  }));
  return { pages, unknown, contested: [] };
}

const condition: NonNullable<PageReport['condition']> = {
  ...{ id: 'cgats-tr006', title: 'Coated, web offset', dataSet: undefined, profileSha256: '' },
  ...{ inks: ['cyan', 'magenta', 'yellow', 'black'], inkLimitPercent: 300, inkLimitSource: 'the data set' },
};

/** The whole report. @param pages as `fabricatedJob` */
export function fabricatedReport(pages: number, units: 'mm' | 'in' = 'mm'): ReportData {
  const job = fabricatedJob(pages, units);
  return reportData(job, fabricatedIssue(job));
}

/** Notes of editors in every state, with and without a place, one of them in words that mean harm. */
function fabricatedNotes(at: number): Pick<PageReport, 'notes' | 'acceptance'> {
  const note = (number: number, state: StandingNote['state'], more: Partial<StandingNote>): StandingNote => ({
    ...{ name: `r1-${at}-${number}`, number, round: 1, state, text: `What is to be done about ${number}` },
    ...more,
  });
  const notes = [
    note(1, 'open', { place: { xMm: 40, yMm: 60 }, cell: 'B4', editor: 'mara' }),
    note(2, 'open', { text: '<img src=x onerror=alert(3)>\n\u202Eline two' }),
    note(3, 'answered', { place: { xMm: -2, yMm: 260 } }),
    note(4, 'closed', { closedBy: 'closed in round 2 by mara', place: { xMm: 40, yMm: 61 } }),
  ];
  const acceptance = { state: 'change', round: 1, why: 'round 1 asks for a change' } as const;
  const none = { state: 'not judged', why: 'no round has a verdict on it' } as const;
  return at % 3 === 1 ? { notes, acceptance } : { notes: [], acceptance: none };
}
