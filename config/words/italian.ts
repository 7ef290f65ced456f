import type { LanguageWords } from './language.js';

/** Italian. Covers are counted from the front: seconda di copertina is the inside of the front. */
export const italian: LanguageWords = {
  page: 'tavola, tavole, tav, pagina, pagine, pag, pagg',
  numbers:
    'uno/una, due, tre, quattro, cinque, sei, sette, otto, nove, dieci, undici, dodici, tredici, quattordici, quindici, ' +
    'sedici, diciassette, diciotto, diciannove, venti, ventuno, ventidue, ventitré, ventiquattro, venticinque, ventisei, ' +
    'ventisette, ventotto, ventinove, trenta',
  covers: {
    cover: 'copertina, prima di copertina, 1a di copertina, fronte copertina, copertina fronte',
    'inside-front-cover': 'seconda di copertina, 2a di copertina, interno copertina, controcopertina',
    'inside-back-cover': 'terza di copertina, 3a di copertina',
    'back-cover': 'quarta di copertina, 4a di copertina, retro copertina, copertina retro, retro',
  },
  issue: 'numero, albo, n',
  version: 'versione',
  parts: {
    colour: 'colore, colori, colorato, colorata, colorate, colorazione, tinta, tinte',
    line:
      'china, chine, chinato, chinata, inchiostro, inchiostri, inchiostrato, inchiostrata, inchiostrazione, linea, linee, ' +
      'tratto, nero, neri, bianco e nero, bn',
    lettering: 'testo, testi, nuvoletta, nuvolette, dialoghi, letterato, letterata',
    flats: 'basi, base, basi colore, tinte piatte, campitura, campiture',
  },
  finished:
    'finale, finali, finito, finita, definitivo, definitiva, completo, completa, intera, unito, unita, appiattito, ' +
    'appiattita, stampa, esecutivo, ultimo, ultima, corretto, corretta, nuovo, nuova, approvato, approvata, ' +
    'alta risoluzione',
  offPrint: {
    pencils: 'matite, matita, a matita',
    'a sketch': 'schizzo, schizzi, bozza, bozze, bozzetto, bozzetti',
    'a layout': 'gabbia, impaginazione, impaginato',
    'a reference': 'riferimento, riferimenti',
    'a thumbnail': 'miniatura, miniature, provino, provini',
    'a preview': 'anteprima, anteprime',
    'a picture of low resolution': 'bassa risoluzione, bassa, bassa ris, bassa qualità',
    'an alternative': 'alternativa, alternativo, variante, varianti',
    'unfinished or discarded work':
      'in corso, in lavorazione, prova, prove, scartato, scartata, vecchio, vecchia',
  },
  copy: 'copia, copie, duplicato',
  months:
    'gennaio, gen, febbraio, febbr, marzo, aprile, maggio, mag, giugno, giu, luglio, lug, agosto, ago, settembre, set, ' +
    'ottobre, ott, dicembre, dic',
  joining: 'il, lo, la, gli, di, del, della, dei, delle, e, con, per, da, al, in',
};
