import type { LanguageWords } from './language.js';

/** Portuguese. */
export const portuguese: LanguageWords = {
  page: 'página, páginas, pág, págs, pag, pags, prancha, pranchas',
  numbers:
    'um/uma, dois/duas, três, quatro, cinco, seis, sete, oito, nove, dez, onze, doze, treze, catorze/quatorze, quinze, ' +
    'dezesseis/dezasseis, dezessete/dezassete, dezoito, dezenove/dezanove, vinte, vinte e um/vinte e uma, ' +
    'vinte e dois/vinte e duas, vinte e três, vinte e quatro, vinte e cinco, vinte e seis, vinte e sete, vinte e oito, ' +
    'vinte e nove, trinta',
  covers: {
    cover: 'capa, primeira capa, 1a capa, capa frente',
    'inside-front-cover': 'segunda capa, 2a capa, verso da capa, capa interna, capa interior',
    'inside-back-cover': 'terceira capa, 3a capa, contracapa interna, contracapa interior',
    'back-cover': 'contracapa, quarta capa, 4a capa, capa traseira',
  },
  issue: 'número, edição, exemplar, tomo',
  version: 'versão',
  parts: {
    colour: 'cor, cores, colorido, colorida, coloração, colorização, em cores',
    line:
      'tinta, nanquim, arte final, arte finalizada, finalização, traço, traços, linha, linhas, contorno, contornos, ' +
      'preto, pretos, preto e branco, pb',
    lettering: 'letreiramento, letreirado, letras, balão, balões, balonamento, texto, textos, diálogos',
    flats: 'cores chapadas, cor chapada, chapada, chapadas, chapado, chapados, base, bases, cores base',
  },
  finished:
    'completa, completo, pronta, pronto, finalizada, finalizado, definitiva, definitivo, achatada, achatado, mesclada, ' +
    'mesclado, impressão, gráfica, corrigida, corrigido, nova, novo, última, último, aprovada, aprovado, inteira, ' +
    'alta resolução',
  offPrint: {
    pencils: 'lápis, a lápis',
    'a sketch': 'esboço, esboços, rascunho, rascunhos, rafe, rafes',
    'a layout': 'diagramação, boneco',
    'a reference': 'referência, referências',
    'a thumbnail': 'miniatura, miniaturas',
    'a preview': 'prévia, prévias, pré visualização, visualização, amostra',
    'a picture of low resolution': 'baixa resolução, baixa, baixa qualidade',
    'an alternative': 'alternativa, alternativo, variante, variantes',
    'unfinished or discarded work': 'em andamento, teste, testes, descartada, descartado, velha, velho',
  },
  copy: 'cópia, cópias, duplicata',
  months:
    'janeiro, fevereiro, fev, março, abril, maio, mai, junho, julho, agosto, setembro, set, outubro, out, novembro, ' +
    'dezembro, dez',
  joining: 'o, os, as, de, do, da, dos, das, e, com, para, em, no, na, um, uma',
};
