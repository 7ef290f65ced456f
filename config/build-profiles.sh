#!/usr/bin/env bash
# Builds the ICC profiles of config/profiles from published characterization data. A builder's tool: platehand itself
# needs none of this, the finished profiles are part of it. About a minute and a half each, two at a time.
#
# Usage: npm run profiles [-- name ...]      all of them, or those named: cgats-tr006 fogra39l ...
set -euo pipefail

data=${PLATEHAND_DATA:-/usr/share/color/icc}
out=$(cd "$(dirname "$0")/profiles" && pwd)

missing=()
command -v colprof >/dev/null || missing+=("colprof, of Argyll CMS (Debian: apt-get install argyll)")
command -v node >/dev/null || missing+=("node, 20.19 or later")
for file in TR002 TR003 TR005 TR006 FOGRA29L FOGRA30L FOGRA39L; do
  [ -r "$data/$file.ti3" ] ||
    missing+=("$data/$file.ti3 (Debian: apt-get install icc-profiles-free, or set PLATEHAND_DATA to its folder)")
done
[ -r "$data/sRGB.icc" ] || missing+=("$data/sRGB.icc (Debian: apt-get install icc-profiles-free)")
if [ ${#missing[@]} -gt 0 ]; then
  echo "The profiles cannot be built here. Missing:" >&2
  printf '  %s\n' "${missing[@]}" >&2
  exit 1
fi

work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

# Black generation: none in the lighter part of the scale from paper to black, so that skin tones stay clean, then a
# straight ramp to full black. Coated papers: from 60 to 95 % of the scale. Uncoated paper and newsprint have so short a
# scale that the same skins lie further down: from 75 to 98 %.
coated="0 0.6 0.95 1.0 1.0"
uncoated="0 0.75 0.98 1.0 1.0"

# ICC.1 gets from media-relative to absolute colours by scaling XYZ. Argyll by itself uses another adaptation and a
# private tag to undo it, which other engines do not read: solids would come out up to 1 dE00 off in absolute colours.
export ARGYLL_CREATE_WRONG_VON_KRIES_OUTPUT_CLASS_REL_WP=1

# build <name> <data file> <ink limit %> <black limit %> <black generation> <title> <source of the data>
build() {
  local name=$1 file=$2 ink=$3 blackMax=$4 title=$6 source=$7 black
  read -ra black <<<"$5"
  cp "$data/$file.ti3" "$work/$name.ti3"
  # -qm: tables of medium size; -nc: without the 100 kB of measurements; -S: perceptual and saturation tables map the
  # gamut of sRGB seen on a monitor (mt) into that of the print seen in practice (pp).
  (cd "$work" && colprof -v -qm -nc -l"$ink" -L"$blackMax" -kp "${black[@]}" -S "$data/sRGB.icc" -cmt -dpp \
    -A "platehand" -M "$name" -D "platehand: $title" \
    -C "Made from the characterization data $source, which is the source of the data. No warranty." \
    "$name" >"$name.log" 2>&1) || {
    echo "$name failed:" >&2
    tail -n 20 "$work/$name.log" >&2
    return 1
  }
  # The header's date becomes a fixed one, so that the same data gives the same bytes on every day.
  node -e '
    const fs = require("node:fs");
    const [from, to] = process.argv.slice(1);
    const bytes = fs.readFileSync(from);
    [2026, 1, 1, 0, 0, 0].forEach((part, index) => bytes.writeUInt16BE(part, 24 + 2 * index));
    fs.writeFileSync(to, bytes);
  ' "$work/$name.icc" "$out/$name.icc"
  echo "$name: $(tail -n 1 "$work/$name.log")"
}

wanted() { [ ${#names[@]} -eq 0 ] || [[ " ${names[*]} " == *" $1 "* ]]; }
names=("$@")
row() {
  wanted "$1" || return 0
  while [ "$(jobs -rp | wc -l)" -ge 2 ]; do wait -n; done
  build "$@" &
}

row cgats-tr006 TR006 320 100 "$coated" "coated, sheet-fed offset (CGATS TR 006)" "ANSI/CGATS/GRACoL TR 006-2007"
row cgats-tr003 TR003 300 100 "$coated" "coated, web offset, grade 3 (CGATS TR 003)" "ANSI/CGATS/SWOP TR 003-2007"
row cgats-tr005 TR005 300 100 "$coated" "coated, web offset, grade 5 (CGATS TR 005)" "ANSI/CGATS/SWOP TR 005-2007"
row cgats-tr002 TR002 240 95 "$uncoated" "newsprint, coldset offset (CGATS TR 002)" "ANSI/CGATS/SNAP TR 002-2007"
row fogra39l FOGRA39L 300 100 "$coated" "coated offset (FOGRA39L)" "FOGRA39L of December 2006"
row fogra29l FOGRA29L 300 100 "$uncoated" "uncoated white offset (FOGRA29L)" "FOGRA29L of September 2003"
row fogra30l FOGRA30L 300 100 "$uncoated" "uncoated yellowish offset (FOGRA30L)" "FOGRA30L of September 2003"
while [ -n "$(jobs -rp)" ]; do wait -n; done

# What the profiles reproduce of their data, for config/profiles/accuracy.json and the table of config/profiles/README.md.
cd "$out/../.."
npm run --silent build
PLATEHAND_DATA=$data node dist/config/press/profile-report.js
