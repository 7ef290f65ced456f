import type { LanguageWords } from './language.js';

/** Japanese. 表1 to 表4 are the four covers, counted from the front; ネーム is the rough layout of a manga, no lettering. */
export const japanese: LanguageWords = {
  page: 'ページ, 頁, ぺーじ',
  pageBehind: 'ページ, 頁, ページ目, 頁目, 枚目',
  numbers:
    '一/１, 二, 三, 四, 五, 六, 七, 八, 九, 十, 十一, 十二, 十三, 十四, 十五, 十六, 十七, 十八, 十九, 二十, 二十一, 二十二, ' +
    '二十三, 二十四, 二十五, 二十六, 二十七, 二十八, 二十九, 三十',
  covers: {
    cover: '表紙, 表1, おもて表紙, カバー',
    'inside-front-cover': '表2, 表紙裏, 表紙の裏, 表紙ウラ',
    'inside-back-cover': '表3, 裏表紙裏, 裏表紙の裏, 裏表紙ウラ',
    'back-cover': '裏表紙, 表4, うら表紙, ウラ表紙',
  },
  issue: '号, 巻, 第',
  issueBehind: '号, 巻, 話, 号目, 巻目, 話目, 回',
  version: 'バージョン, 版',
  parts: {
    colour: 'カラー, 彩色, 着色, 着彩, 色塗り, 色',
    line: '線画, 主線, 線, ペン入れ, ペン画, ペン, 墨, 墨線, 墨入れ, インク, 白黒, モノクロ',
    lettering:
      '文字, 文字入れ, 写植, セリフ, 台詞, 吹き出し, ふきだし, フキダシ, 描き文字, 書き文字, レタリング',
    flats: '下塗り, 塗り分け, 色分け, ベースカラー, 下地',
  },
  finished:
    '完成, 完成版, 完成原稿, 完全版, 完, 完了, 最終, 最終版, 決定稿, 決定版, 確定, 統合, 結合, 原稿, 入稿, 入稿用, 入稿データ, ' +
    '印刷, 印刷用, 修正, 修正済み, 修正版, 新, 最新, 最新版, 済, 済み, 仕上げ, 高解像度, 全体',
  offPrint: {
    pencils: '鉛筆, 下描き, 下書き, 下絵',
    'a sketch': 'ラフ, スケッチ, ラフ画, 落書き, らくがき',
    'a layout': 'ネーム, レイアウト, コンテ, 絵コンテ, 割付, コマ割り, コマ割',
    'a reference': '参考, 資料, 参照, 参考資料, 色指定',
    'a thumbnail': 'サムネイル, サムネ, 縮小, 縮小版',
    'a preview': 'プレビュー, 見本, 確認用, サンプル, 校正',
    'a picture of low resolution': '低解像度, 低解像, 軽量版, 低画質',
    'an alternative': '別案, 代案, 別バージョン, 別版, 差分',
    'unfinished or discarded work': '未完成, 作業中, 途中, 没, ボツ, テスト, 旧, 旧版, 仮',
  },
  copy: 'コピー, のコピー, 複製',
  months: '',
  joining: 'の, と, 用, 第, 分, 版, 目',
};
