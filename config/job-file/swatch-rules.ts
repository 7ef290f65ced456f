import { type Swatch, swatchTitle } from '../job.js';
import { clashKey } from '../portable-name.js';
import type { Draft } from './job-draft.js';
import { type FoundProblem, wrongValue } from './job-problem.js';
import { swatchDefaults, type WrittenSwatch } from './swatch-schema.js';

/** What swatches say together, and what is made of them. */
export const swatchRules = [swatchesHaveOneColour, swatchesStandOnce];

/** A colour is given once: two that do not agree would have to be decided by nobody. */
function swatchesHaveOneColour({ swatches }: Draft): FoundProblem[] {
  return swatches.entries.flatMap(({ at, value }) => {
    const isGiven = value.srgb !== undefined;
    if (isGiven !== (value.lab !== undefined)) return [];
    const what = `swatch "${swatchTitle(titled(value))}" has ${isGiven ? 'both srgb and lab' : 'no colour'}`;
    return [wrongValue(isGiven ? [...at, 'lab'] : at, what, 'either srgb or lab', 'srgb: "#c89070"')];
  });
}

function swatchesStandOnce({ swatches }: Draft): FoundProblem[] {
  const seen = new Set<string>();
  return swatches.entries.flatMap(({ at, value }) => {
    const title = swatchTitle(titled(value));
    const key = clashKey(title);
    const isRepeated = seen.has(key);
    seen.add(key);
    if (!isRepeated) return [];
    return [
      wrongValue([...at, 'name'], `swatch "${title}" stands in the list twice`, 'every swatch once', ''),
    ];
  });
}

function titled({ name, character }: WrittenSwatch) {
  return { name, character };
}

/** A swatch with its defaults filled in. @param written sound, with one colour */
export function swatchOf(written: WrittenSwatch): Swatch {
  const { name, character, srgb, lab, toleranceDe = swatchDefaults.toleranceDe } = written;
  const level = (at: number) => Number.parseInt((srgb ?? '').replace('#', '').slice(at, at + 2), 16);
  return {
    name,
    character,
    colour: lab === undefined ? { kind: 'srgb', srgb: [level(0), level(2), level(4)] } : { kind: 'lab', lab },
    toleranceDe,
  };
}
