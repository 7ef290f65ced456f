import type { LanguageWords } from './language.js';

/** German. U1 to U4 are the four covers, counted from the front. */
export const german: LanguageWords = {
  page: 'seite, seiten, blatt',
  numbers:
    'eins/ein, zwei, drei, vier, fünf/fuenf, sechs, sieben, acht, neun, zehn, elf, zwölf/zwoelf, dreizehn, vierzehn, ' +
    'fünfzehn/fuenfzehn, sechzehn, siebzehn, achtzehn, neunzehn, zwanzig, einundzwanzig, zweiundzwanzig, ' +
    'dreiundzwanzig, vierundzwanzig, fünfundzwanzig/fuenfundzwanzig, sechsundzwanzig, siebenundzwanzig, ' +
    'achtundzwanzig, neunundzwanzig, dreißig/dreissig',
  covers: {
    cover:
      'titelbild, titelseite, titelblatt, umschlag, umschlag vorne, umschlag vorn, vorderseite, u1, cover vorne',
    'inside-front-cover':
      'u2, umschlag innen vorne, umschlag vorne innen, innenseite vorne, umschlaginnenseite vorne',
    'inside-back-cover': 'u3, umschlag innen hinten, umschlag hinten innen, innenseite hinten',
    'back-cover': 'u4, umschlag hinten, umschlagrückseite, rückseite, rueckseite, cover hinten',
  },
  issue: 'heft, ausgabe, nummer, nr, band, bd',
  version: 'fassung',
  parts: {
    colour: 'farbe, farben, farbig, koloriert, coloriert, kolorierung, colorierung, kolorit, gefärbt',
    line:
      'tusche, getuscht, tuschezeichnung, reinzeichnung, reinzeichnungen, linie, linien, outline, outlines, kontur, ' +
      'konturen, strichzeichnung, schwarz, schwarzweiß, schwarz weiß, sw, geinkt',
    lettering: 'text, texte, schrift, beschriftung, sprechblase, sprechblasen, blasen, soundwords, gelettert',
    flats: 'flächen, flaechen, grundfarben, farbflächen, farbflaechen, flatfarben',
  },
  finished:
    'fertig, fertige, komplett, gesamt, ganz, ganze, ganzseite, druck, druckdatei, druckfertig, druckdaten, reduziert, ' +
    'endfassung, endversion, druckfassung, korrigiert, neu, neue, neuste, neueste, aktuell, letzte, freigegeben, ' +
    'freigabe, abgenommen',
  offPrint: {
    pencils: 'bleistift, vorzeichnung, vorzeichnungen, bleistiftzeichnung',
    'a sketch': 'skizze, skizzen, entwurf, entwürfe, entwuerfe, rohskizze, studie, studien',
    'a layout': 'seitenaufteilung, seitenlayout, aufteilung',
    'a reference': 'referenz, referenzen, vorlage, vorlagen, bildvorlage',
    'a thumbnail': 'miniatur, miniaturen, miniaturansicht, vorschaubild',
    'a preview': 'vorschau, ansicht, ansichtsdatei, ansichtsexemplar, probedruck, andruck',
    'a picture of low resolution':
      'niedrige auflösung, niedrigauflösend, niedrig aufgelöst, geringe auflösung, kleine auflösung',
    'an alternative': 'alternativ, variante, varianten, alternativversion',
    'unfinished or discarded work':
      'unfertig, in arbeit, zwischenstand, verworfen, alt version, alte version, probe',
  },
  copy: 'kopie, kopien, duplikat',
  months: 'januar, jänner, februar, märz, maerz, mrz, mai, juni, juli, oktober, okt, dezember, dez',
  joining: 'der, die, das, den, und, von, vom, für, mit, im, am, aus, zum, zur',
};
