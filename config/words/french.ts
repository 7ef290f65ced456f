import type { LanguageWords } from './language.js';

/** French. C1 to C4 are the four covers, counted from the front. */
export const french: LanguageWords = {
  page: 'planche, planches, pl, page, pages',
  numbers:
    'un/une, deux, trois, quatre, cinq, six, sept, huit, neuf, dix, onze, douze, treize, quatorze, quinze, seize, ' +
    'dix sept, dix huit, dix neuf, vingt, vingt et un/vingt et une/vingt un, vingt deux, vingt trois, vingt quatre, ' +
    'vingt cinq, vingt six, vingt sept, vingt huit, vingt neuf, trente',
  covers: {
    cover:
      'couverture, couv, c1, 1re de couverture, 1ere de couverture, 1re de couv, 1ere de couv, ' +
      'première de couverture, premier plat, plat 1',
    'inside-front-cover':
      'c2, 2e de couverture, 2eme de couverture, 2e de couv, 2eme de couv, deuxième de couverture, seconde de couverture',
    'inside-back-cover':
      'c3, 3e de couverture, 3eme de couverture, 3e de couv, 3eme de couv, troisième de couverture',
    'back-cover':
      'c4, 4e de couverture, 4eme de couverture, 4e de couv, 4eme de couv, quatrième de couverture, quatrième de couv, ' +
      'quatrième plat, plat 4, dos de couverture',
  },
  issue: 'numéro, tome, album, t, fascicule',
  version: 'version',
  parts: {
    colour:
      'couleur, couleurs, coul, colorisation, colorisé, colorisée, mise en couleur, mise en couleurs, colorié, coloriée',
    line: 'encrage, encrages, encre, encré, encrée, encrés, trait, traits, au trait, noir, noirs, noir et blanc, nb',
    lettering: 'lettrage, lettrages, texte, textes, bulle, bulles, onomatopées, dialogues',
    flats: 'aplats, aplat, aplats couleur, aplats couleurs',
  },
  finished:
    'finale, finales, finalisé, finalisée, fini, finie, terminé, terminée, complet, complète, définitif, définitive, ' +
    'def, validé, validée, aplati, aplatie, fusionné, fusionnée, impression, imprimeur, corrigé, corrigée, nouveau, ' +
    'nouvelle, dernier, dernière, entière, bon à tirer, bat, haute def, haute définition, haute résolution',
  offPrint: {
    pencils: 'crayonné, crayonnés, crayonnée, crayon, crayons, crayonnage',
    'a sketch':
      'esquisse, esquisses, croquis, brouillon, brouillons, ébauche, ébauches, recherche, recherches',
    'a layout': 'mise en page, découpage, maquette, maquettes, gabarit, chemin de fer',
    'a reference': 'référence, références, réf, réfs, modèle, documentation',
    'a thumbnail': 'vignette, vignettes, miniature, miniatures, imagette, imagettes',
    'a preview': 'aperçu, aperçus, prévisualisation, épreuve, épreuves',
    'a picture of low resolution': 'basse résolution, basse def, basse définition, basse, basse qualité',
    'an alternative': 'alternatif, alternative, variante, variantes',
    'unfinished or discarded work':
      'en cours, essai, essais, ancien, ancienne, abandonné, abandonnée, inachevé',
  },
  copy: 'copie, copies, doublon',
  months:
    'janvier, janv, février, fév, févr, mars, avril, avr, mai, juin, juillet, juil, août, septembre, octobre, ' +
    'novembre, décembre, déc',
  joining: 'le, la, les, de, du, des, et, à, au, aux, en, pour, avec, sur, par, une, un',
};
