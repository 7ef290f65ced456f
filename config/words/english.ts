import type { LanguageWords } from './language.js';

/** English, and the words of the trade that are used in every language. */
export const english: LanguageWords = {
  page: 'p, pp, pg, pgs, page, pages',
  numbers:
    'one, two, three, four, five, six, seven, eight, nine, ten, eleven, twelve, thirteen, fourteen, fifteen, ' +
    'sixteen, seventeen, eighteen, nineteen, twenty, twenty one, twenty two, twenty three, twenty four, ' +
    'twenty five, twenty six, twenty seven, twenty eight, twenty nine, thirty',
  covers: {
    cover: 'front, front cover, fc, cvr, front cvr, cover front, outside front cover, ofc',
    'inside-front-cover': 'ifc, inside front, inside front cover, inside front cvr, inner front cover',
    'inside-back-cover': 'ibc, inside back, inside back cover, inside back cvr, inner back cover',
    'back-cover': 'back, back cover, bc, back cvr, cover back, rear cover, outside back cover, obc',
  },
  issue: 'issue, iss, no, num, number',
  version: 'v, ver, vers, version, versions, rev, revision',
  parts: {
    colour:
      'colour, colours, coloured, color, colors, colored, col, cols, clr, paint, painted, colouring, coloring',
    line:
      'line, lines, lineart, linework, line work, ink, inks, inked, inking, bw, black, blacks, ' +
      'black and white, black white',
    lettering:
      'lettering, letters, letter, lettered, lett, text, balloon, balloons, captions, sfx, speech bubbles, ' +
      'word balloons',
    flats: 'flats, flatted, flatting, flat colours, flat colors',
  },
  finished:
    'final, finals, finished, painting, new, newest, latest, last, approved, ok, okay, done, fixed, corrected, complete, ' +
    'completed, full, whole, entire, composite, flattened, merged, combined, print, printing, press, export, ' +
    'hires, hi res, high res, highres, high resolution, hr, hd, master, update, updated, ready, delivery, good',
  offPrint: {
    pencils:
      'pencils, pencil, pencilled, penciled, pencilling, penciling, bluelines, blueline, blue line, blue lines',
    'a sketch':
      'sketch, sketches, rough, roughs, study, studies, concept, concepts, doodle, scribble, scribbles',
    'a layout':
      'layout, layouts, breakdown, breakdowns, storyboard, storyboards, dummy, template, guides, guide',
    'a reference': 'reference, references, ref, refs, photoref',
    'a thumbnail': 'thumb, thumbs, thumbnail, thumbnails',
    'a preview': 'preview, previews, proof, proofs, watermark, watermarked, web',
    'a picture of low resolution': 'lowres, low res, lores, lo res, low resolution, low, lr, lq, lowq',
    'an alternative':
      'alt, alts, alternate, alternates, alternative, alternatives, variant, variants, option, options',
    'unfinished or discarded work':
      'wip, draft, drafts, in progress, work in progress, unfinished, test, tests, old, backup, unused, rejected, ' +
      'discarded, deleted, obsolete, outdated, tmp, temp',
  },
  copy: 'copy, copies, duplicate, dup',
  months:
    'january, jan, february, feb, march, mar, april, apr, may, june, jun, july, jul, august, aug, september, sept, ' +
    'sep, october, oct, november, nov, december, dec',
  joining: 'the, of, and, with, for, to, in, on, by, from, is, an',
};
