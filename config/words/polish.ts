import type { LanguageWords } from './language.js';

/** Polish. */
export const polish: LanguageWords = {
  page: 'strona, strony, stronie, str, plansza, plansze',
  numbers:
    'jeden/pierwsza, dwa/druga, trzy/trzecia, cztery/czwarta, pięć/piąta, sześć/szósta, siedem/siódma, osiem/ósma, ' +
    'dziewięć/dziewiąta, dziesięć/dziesiąta, jedenaście/jedenasta, dwanaście/dwunasta, trzynaście/trzynasta, ' +
    'czternaście/czternasta, piętnaście/piętnasta, szesnaście/szesnasta, siedemnaście/siedemnasta, ' +
    'osiemnaście/osiemnasta, dziewiętnaście/dziewiętnasta, dwadzieścia/dwudziesta, dwadzieścia jeden, dwadzieścia dwa, ' +
    'dwadzieścia trzy, dwadzieścia cztery, dwadzieścia pięć, dwadzieścia sześć, dwadzieścia siedem, dwadzieścia osiem, ' +
    'dwadzieścia dziewięć, trzydzieści/trzydziesta',
  covers: {
    cover: 'okładka, okładka przód, przód okładki, przednia okładka, i okładka, i strona okładki',
    'inside-front-cover': 'ii okładka, ii strona okładki, okładka wewnętrzna przód, wewnętrzna okładka przód',
    'inside-back-cover': 'iii okładka, iii strona okładki, okładka wewnętrzna tył, wewnętrzna okładka tył',
    'back-cover': 'iv okładka, iv strona okładki, okładka tył, tył okładki, tylna okładka',
  },
  issue: 'numer, nr, zeszyt, tom',
  version: 'wersja',
  parts: {
    colour: 'kolor, kolory, kolorowy, kolorowa, kolorowe, pokolorowane, pokolorowana, barwa, barwy',
    line:
      'tusz, tusze, tuszowanie, kontur, kontury, linia, linie, kreska, kreski, czarny, czarne, czerń, czarno białe, ' +
      'czarno biała, czb',
    lettering: 'liternictwo, litery, tekst, teksty, dymek, dymki, napisy',
    flats: 'plamy, flaty, płaskie kolory, podkład, podkłady, kolory bazowe',
  },
  finished:
    'finalna, finalny, finalne, finał, gotowe, gotowa, gotowy, całość, cała, kompletna, kompletny, ostateczna, ' +
    'ostateczny, druk, do druku, spłaszczona, spłaszczone, poprawiona, poprawione, nowa, nowy, ostatnia, zatwierdzona, ' +
    'wysoka rozdzielczość',
  offPrint: {
    pencils: 'ołówek, ołówki, ołówkiem',
    'a sketch': 'szkic, szkice, zarys',
    'a layout': 'układ, makieta, rozkład',
    'a reference': 'referencja, referencje, wzór, wzory',
    'a thumbnail': 'miniatura, miniatury, miniaturka',
    'a preview': 'podgląd, podglądy',
    'a picture of low resolution': 'niska rozdzielczość, niska, niska jakość',
    'an alternative': 'alternatywa, alternatywna, alternatywny, wariant, warianty',
    'unfinished or discarded work': 'w trakcie, próba, próbka, odrzucona, stara, stary, robocza, roboczy',
  },
  copy: 'kopia, kopie, duplikat',
  months:
    'styczeń, stycznia, sty, luty, lutego, lut, marzec, marca, kwiecień, kwietnia, kwi, maj, maja, czerwiec, czerwca, ' +
    'cze, lipiec, lipca, lip, sierpień, sierpnia, sie, wrzesień, września, wrz, październik, października, paź, ' +
    'listopad, listopada, lis, grudzień, grudnia, gru',
  joining: 'i, z, ze, na, do, dla, od, po, w',
};
