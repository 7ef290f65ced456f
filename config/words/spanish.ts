import type { LanguageWords } from './language.js';

/** Spanish. */
export const spanish: LanguageWords = {
  page: 'página, páginas, pág, págs, pag, pags, lámina, láminas',
  numbers:
    'uno/una, dos, tres, cuatro, cinco, seis, siete, ocho, nueve, diez, once, doce, trece, catorce, quince, ' +
    'dieciséis/diez y seis, diecisiete, dieciocho, diecinueve, veinte, veintiuno/veintiuna, veintidós, veintitrés, ' +
    'veinticuatro, veinticinco, veintiséis, veintisiete, veintiocho, veintinueve, treinta',
  covers: {
    cover: 'portada, cubierta, tapa, cubierta delantera',
    'inside-front-cover':
      'portada interior, interior portada, interior de portada, cubierta interior, contratapa interior',
    'inside-back-cover': 'contraportada interior, interior contraportada, interior de contraportada',
    'back-cover': 'contraportada, contracubierta, contratapa, cubierta trasera',
  },
  issue: 'número, núm, ejemplar, tomo',
  version: 'versión',
  parts: {
    colour: 'color, colores, coloreado, coloreada, a color, coloreo',
    line:
      'tinta, tintas, entintado, entintada, entintados, a tinta, línea, líneas, trazo, trazos, negro, negros, ' +
      'blanco y negro, byn, bn',
    lettering:
      'rotulación, rotulado, rotulada, rótulos, texto, textos, bocadillo, bocadillos, globos, diálogos',
    flats: 'planos, colores planos, color plano, tintas planas, base, bases, colores base',
  },
  finished:
    'finalizada, finalizado, completa, completo, terminada, terminado, acabada, acabado, definitiva, definitivo, ' +
    'acoplada, acoplado, imprenta, impresión, corregida, corregido, nueva, nuevo, última, último, aprobada, aprobado, ' +
    'lista, listo, entera, alta resolución',
  offPrint: {
    pencils: 'lápiz, lápices, a lápiz',
    'a sketch': 'boceto, bocetos, esbozo, esbozos, borrador, borradores, abocetado, abocetada',
    'a layout': 'maqueta, maquetas, maquetación, composición, guion gráfico, guión gráfico',
    'a reference': 'referencia, referencias',
    'a thumbnail': 'miniatura, miniaturas',
    'a preview': 'vista previa, previsualización, previa, muestra, muestras',
    'a picture of low resolution': 'baja resolución, baja, baja res, baja calidad',
    'an alternative': 'alternativa, alternativo, variante, variantes',
    'unfinished or discarded work':
      'en proceso, en curso, prueba, pruebas, descartada, descartado, vieja, viejo',
  },
  copy: 'copia, copias, duplicado',
  months:
    'enero, ene, febrero, marzo, abril, abr, mayo, junio, julio, agosto, ago, septiembre, setiembre, octubre, ' +
    'noviembre, diciembre, dic',
  joining: 'el, la, los, las, de, del, y, con, para, por, en, al, un, una',
};
