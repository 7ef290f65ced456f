import type { LanguageWords } from './language.js';

/** Dutch. */
export const dutch: LanguageWords = {
  page: "pagina, paginas, pagina's, blz, bladzijde, bladzijden, plaat, platen",
  numbers:
    'één/een, twee, drie, vier, vijf, zes, zeven, acht, negen, tien, elf, twaalf, dertien, veertien, vijftien, zestien, ' +
    'zeventien, achttien, negentien, twintig, eenentwintig, tweeëntwintig, drieëntwintig, vierentwintig, ' +
    'vijfentwintig, zesentwintig, zevenentwintig, achtentwintig, negenentwintig, dertig',
  covers: {
    cover: 'omslag, kaft, voorkant, voorplat, omslag voor, omslag voorkant, cover voor, cover voorkant',
    'inside-front-cover': 'omslag voor binnen, binnenkant voor, binnenkant voorkant, binnenkant omslag voor',
    'inside-back-cover':
      'omslag achter binnen, binnenkant achter, binnenkant achterkant, binnenkant omslag achter',
    'back-cover': 'achterkant, achterplat, omslag achter, omslag achterkant, achteromslag, cover achter',
  },
  issue: 'nummer, nr, deel, aflevering, album',
  version: 'versie',
  parts: {
    colour: 'kleur, kleuren, ingekleurd, gekleurd, inkleuring',
    line: 'inkt, inkten, geïnkt, inkting, lijn, lijnen, lijnwerk, lijntekening, zwart, zwart wit, zw',
    lettering: 'letters, belettering, tekst, teksten, ballonnen, tekstballonnen, tekstballon, geletterd',
    flats: 'vlakken, vlakkleuren, kleurvlakken, basiskleuren',
  },
  finished:
    'definitief, definitieve, volledig, volledige, compleet, complete, klaar, druk, drukklaar, drukbestand, afgevlakt, ' +
    'samengevoegd, nieuw, nieuwe, laatste, goedgekeurd, gecorrigeerd, hele, heel, hoge resolutie',
  offPrint: {
    pencils: 'potlood, potloden, potloodtekening',
    'a sketch': 'schets, schetsen, ontwerp, ontwerpen, krabbel, krabbels, klad',
    'a layout': 'indeling, lay out, opmaak',
    'a reference': 'referentie, referenties',
    'a thumbnail': 'miniatuur, miniaturen',
    'a preview': 'voorbeeld, voorvertoning, drukproef',
    'a picture of low resolution': 'lage resolutie, lage kwaliteit, laag',
    'an alternative': 'alternatief, alternatieve, varianten',
    'unfinished or discarded work': 'in bewerking, proef, afgekeurd, oud, oude, onaf',
  },
  copy: 'kopie, kopieën',
  months: 'januari, februari, maart, mrt, mei, juni, juli, augustus, oktober, okt',
  joining: 'de, het, een, en, van, voor, met, op, in, te',
};
