import type { Noticed } from '../model/findings.js';
import type { Element } from './openraster-attributes.js';

/** What is worth saying about a stack.xml that can be read and yet is not quite as the specification has it. */

const specification = 'OpenRaster layer stack specification';

/** Attributes of extensions, by name and how often each occurs. */
export function attributesNotice(ignored: ReadonlyMap<string, number>): Noticed[] {
  if (ignored.size === 0) return [];
  return [
    {
      code: 'openraster-attributes',
      severity: 'note',
      message: `Attributes beyond OpenRaster's own were passed over: ${list(ignored)}`,
      source: specification,
      remedy: 'Nothing to do, as long as the proof looks as it should',
    },
  ];
}

/** Elements that are no stack and no layer: they may hold content, so somebody has to look. */
export function elementsNotice(skipped: ReadonlyMap<string, number>): Noticed[] {
  if (skipped.size === 0) return [];
  return [
    {
      code: 'openraster-elements',
      severity: 'warn',
      message: `Elements beyond OpenRaster's baseline were left out of the page: ${list(skipped)}`,
      source: specification,
      remedy: 'Turn them into plain layers in the program the page was painted in, and save again',
    },
  ];
}

/** A version that is missing, or beyond those whose rules are followed here. */
export function versionNotice(image: Element): Noticed[] {
  const { version } = image.attributes;
  if (version !== undefined && /^0\.0\.\d+/.test(version)) return [];
  const newer = version !== undefined && /^\d+\.\d+\.\d+/.test(version);
  return [
    {
      code: 'openraster-version',
      severity: newer ? 'warn' : 'note',
      message:
        version === undefined ? 'stack.xml states no version' : `stack.xml states version "${version}"`,
      limit: '0.0.x',
      source: specification,
      remedy: 'Look at the proof; it was read by the rules of the versions 0.0.x',
    },
  ];
}

/** xres and yres come together or not at all. */
export function resolutionNotice(image: Element): Noticed[] {
  const { xres, yres } = image.attributes;
  if ((xres === undefined) === (yres === undefined)) return [];
  return [
    {
      code: 'openraster-resolution',
      severity: 'warn',
      message: 'stack.xml states the resolution along one axis only; it counts as not stated',
      source: `${specification}, since 0.0.3`,
      remedy: 'Set the resolution in the program the page was painted in, and save again',
    },
  ];
}

/** The root stack has a fixed rendering. */
export function rootNotice(attributes: readonly string[]): Noticed {
  return {
    code: 'openraster-root',
    severity: 'warn',
    message: `The root stack has ${attributes.join(', ')}, which it must not have; that was passed over`,
    source: `${specification}, stack element`,
    remedy: 'Look at the proof; if it looks wrong, put everything into a group of its own and save again',
  };
}

function list(counts: ReadonlyMap<string, number>): string {
  return [...counts].map(([name, times]) => (times === 1 ? name : `${name} (${times} times)`)).join(', ');
}
