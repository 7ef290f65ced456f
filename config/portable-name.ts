/** Names that Windows keeps for devices, with any extension (RFC 8493 section 6.1.2, not normative). */
const deviceName = /^(con|prn|aux|nul|com[1-9]|lpt[1-9])(\.|$)/i;

/** Letters, digits and `. _ - + ( )`, with single spaces inside. */
const fitName = /^[\p{L}\p{N}_(][\p{L}\p{M}\p{N}._+()-]*( [\p{L}\p{M}\p{N}._+()-]+)*$/u;

/**
 * The form in which names are compared, composed and in lower case: two names or paths with the same key cannot live
 * beside each other on every system.
 */
export function clashKey(name: string): string {
  return name.normalize('NFC').toLowerCase().normalize('NFC');
}

/** Whether Windows keeps a name for a device. */
export function isDeviceName(name: string): boolean {
  return deviceName.test(name);
}

/**
 * Why people on any system could not keep a file or folder of that name (one step of a path), or undefined when they
 * can: letters in composed form (NFC), digits and `. _ - + ( )`, with single spaces inside. Both job.yaml and the bundle
 * go by it, so that a name that was accepted on the first day is not refused on the last.
 */
export function unportableName(name: string): string | undefined {
  if (name.normalize('NFC') !== name) return 'its accents are written as separate characters';
  if (/^ | {2}| $/.test(name)) return `"${name}" has spaces at an end, or two beside each other`;
  if (!fitName.test(name)) return `"${name}" holds characters that some systems cannot keep`;
  if (name.endsWith('.')) return `"${name}" ends with a full stop`;
  if (isDeviceName(name)) return `"${name}" is a name that Windows reserves`;
  return undefined;
}
