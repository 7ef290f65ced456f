import { describe, expect, test } from 'vitest';
import { allVisible, nameOfBytes, visible, visibleLines } from '../../config/visible-text.js';

describe('what a terminal obeys or nobody sees', () => {
  test('is written out, from both sets of controls, direction marks included', () => {
    expect(visible('p07\u001b[31m\u009b2J\u007f.tif')).toBe('p07\\u001b[31m\\u009b2J\\u007f.tif');
    expect(visible('p07\u202egpj.\u2066x\u200f\u061c\ufeff')).toBe(
      'p07\\u202egpj.\\u2066x\\u200f\\u061c\\ufeff',
    );
    expect(visible('one\ntwo\r\tthree\u0085four\u2028five')).toBe(
      'one\\ntwo\\r\\tthree\\u0085four\\u2028five',
    );
    expect(visible('\ud800 alone')).toBe('\\ud800 alone');
  });

  test('is every control character there is', () => {
    for (let code = 0; code < 0xa0; code++) {
      const isControl = code < 0x20 || code >= 0x7f;
      const shown = visible(String.fromCharCode(code));
      expect([code, shown.length > 1]).toEqual([code, isControl]);
    }
  });

  test('leaves names in every script as they are, marks and joined emoji included', () => {
    for (const name of [
      'Sjö_é.tif',
      '第7頁線画.tif',
      'صفحة ۷.tif',
      'می\u200cخواهم',
      '👩\u200d🎨.png',
      'C:\\new',
    ]) {
      expect(visible(name)).toBe(name);
    }
  });

  test('leaves lines as lines, and JSON saying the same', () => {
    expect(visibleLines('a\u001b\nb\u202e\n')).toBe('a\\u001b\nb\\u202e\n');
    const data = { name: 'a\u001b\u009b\n\u202e"\\\ud800' };
    const json = visibleLines(JSON.stringify(data, null, 2));
    expect(JSON.parse(json)).toEqual(data);
    expect(json).not.toContain('\u009b');
  });

  test('is found however deep in plain data, and nothing else is touched', () => {
    const bytes = new Uint8Array([27]);
    const data = { pages: [{ why: 'a\u001b', numbers: [7], none: undefined }], bytes, ok: true };
    expect(allVisible(data)).toEqual({ pages: [{ why: 'a\\u001b', numbers: [7] }], bytes, ok: true });
    expect(allVisible(data).bytes).toBe(bytes);
  });
});

test('a file name that is not UTF-8 keeps its sound characters and shows its other bytes', () => {
  expect(nameOfBytes(Buffer.from('Sjö 第7頁.tif'))).toEqual({ name: 'Sjö 第7頁.tif', isName: true });
  expect(nameOfBytes(Buffer.from('Sj\xf6_', 'latin1'))).toEqual({
    name: 'Sj\\xf6_',
    isName: false,
  });
  const mixed = Buffer.concat([Buffer.from('頁'), Buffer.from([0xe9, 0x80]), Buffer.from('.tif')]);
  expect(nameOfBytes(mixed)).toEqual({ name: '頁\\xe9\\x80.tif', isName: false });
});
