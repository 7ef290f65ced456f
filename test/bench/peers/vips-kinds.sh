#!/usr/bin/env bash
# One page of layers, one flat page, or one with lettering apart, with the libvips command line: the same outputs as vips.sh,
# written to be quick in the same way. What lies beneath the line is composited once. The library has all blend modes that
# these pages use; pictures are kept in memory up to a size that holds a layer of a page.
# usage: vips-kinds.sh KIND PROFILE.icc OUT_FOLDER WIDTH HEIGHT PPI PROOF_WIDTH FILE ...
# FILE is PAGE.ora RECIPE.txt (../kinds/recipe.ts says how it reads), PAGE.tif, or COLOUR.tif LINE.tif LETTERING.png.
set -euo pipefail
# shellcheck source=vips-outputs.sh
. "$(dirname "$0")/vips-outputs.sh"
kind=$1 profile=$2 out=$3 width=$4 height=$5 ppi=$6 proof_width=$7
shift 7
export VIPS_CONCURRENCY=${COLOUR_THREADS:-1} VIPS_DISC_THRESHOLD=1g
room=$(mktemp -d -p "$([ -d /dev/shm ] && echo /dev/shm || echo "${TMPDIR:-/tmp}")")
trap 'rm -rf "$room"' EXIT
mkdir -p "$out"
declare -A number=([over]=2 [dest-in]=8 [add]=12 [multiply]=14 [screen]=15 [overlay]=16)
# Where a layer is partly transparent, these modes come out too dark; laid on the tone that changes nothing by its mode, the
# layer comes out right. See github.com/libvips/libvips/issues/4614.
declare -A ground=([multiply]='255 255 255' [screen]='0 0 0' [overlay]='128 128 128')
ink_level=38 # as dark is ink on a flat page
lit=64       # a page with its line is lighter where light lies above the line

# Where a picture of the list stands: made before, or a file of the archive.
path_of() { if [ -e "$room/$1.v" ]; then echo "$room/$1.v"; else echo "$room/$1"; fi; }

# One line of the list: name, base, layers from bottom to top.
compose() {
  local name=$1 base images modes='' xs='' ys='' count=0 file mode x y opacity path
  base=$(path_of "$2")
  [ "$2" = - ] && base=$room/clear.v
  shift 2
  [ $# -eq 0 ] && { ln "$base" "$room/$name.v"; return; }
  images=$base
  for layer in "$@"; do
    IFS=: read -r file mode x y opacity <<<"$layer"
    path=$(path_of "$file")
    if [ "$opacity" != 1 ]; then
      count=$((count + 1))
      vips linear "$path" "$room/$name-$count.v" "1 1 1 $opacity" '0 0 0 0' --uchar
      path=$room/$name-$count.v
    fi
    if [ -n "${ground[$mode]:-}" ] && [ "$(vipsheader -f bands "$path")" = 4 ]; then
      count=$((count + 1))
      vips flatten "$path" "$room/$name-$count.v" --background "${ground[$mode]}"
      path=$room/$name-$count.v
    fi
    images+=" $path" modes+=" ${number[$mode]}" xs+=" $x" ys+=" $y"
  done
  vips composite "$images" "$room/$name.v" "${modes# }" --x "${xs# }" --y "${ys# }"
  rm -f "$room/$name-"*.v
}

# Share of a picture's size that the print has.
scales_of() {
  across=$(awk "BEGIN { printf \"%.9f\", $width / $(vipsheader -f width "$1") }")
  down=$(awk "BEGIN { printf \"%.9f\", $height / $(vipsheader -f height "$1") }")
}
reduce() { vips resize "$1" "$2" "$across" --vscale "$down"; }
separate() { vips icc_transform "$1" "$2" "$profile" --intent relative --black-point-compensation; }

case $kind in
flat)
  scales_of "$1"
  reduce "$1" "$room/small.v"
  vips colourspace "$1" "$room/grey.v" b-w
  vips relational_const "$room/grey.v" "$room/line.v" moreeq $ink_level
  ;;
lettering)
  scales_of "$1"
  reduce "$1" "$room/colour.v"
  vips extract_band "$3" "$room/cover.v" 3
  vips extract_band "$3" "$room/letters.v" 0
  # Balloons go to the colour as white, letters and rims to the line.
  reduce "$room/cover.v" "$room/cover-small.v"
  vips linear "$room/colour.v" "$room/white.v" 0 255 --uchar
  vips ifthenelse "$room/cover-small.v" "$room/white.v" "$room/colour.v" "$room/small.v" --blend
  vips ifthenelse "$room/cover.v" "$room/letters.v" "$2" "$room/line.v" --blend
  ;;
*)
  unzip -q "$1" 'data/*' -d "$room"
  inks=$room/$(awk '$1 == "line" { print $2 }' "$2")
  if grep -q '^[^ ]* - ' "$2"; then
    vips black "$room/empty.v" "$(vipsheader -f width "$inks")" "$(vipsheader -f height "$inks")" --bands 4
    vips copy "$room/empty.v" "$room/clear.v" --interpretation srgb
  fi
  grep -v '^line ' "$2" | while read -r words; do
    # shellcheck disable=SC2086
    compose $words
  done
  scales_of "$inks"
  reduce "$room/without.v" "$room/small.v"
  reduce "$room/with.v" "$room/shown.v"
  vips extract_band "$inks" "$room/cover.v" 3
  vips invert "$room/cover.v" "$room/line.v"
  rm "$room/without.v" "$room/with.v" "$room/below.v"
  ;;
esac

separate "$room/small.v" "$room/cmyk.v"
# The line as light at the colour's size.
reduce "$room/line.v" "$room/light.v"
join_line "$room/cmyk.v" "$room/light.v"
if [ -e "$room/shown.v" ]; then
  # Where the line has light above it, the inks that the page with its line shows.
  separate "$room/shown.v" "$room/shown-cmyk.v"
  vips extract_band "$room/shown-cmyk.v" "$room/shown-inks.v" 0 --n 4
  vips extract_band "$room/shown.v" "$room/rgb.v" 0 --n 3
  vips relational_const "$room/rgb.v" "$room/bright.v" more $lit
  vips bandbool "$room/bright.v" "$room/is-lit.v" or
  vips ifthenelse "$room/is-lit.v" "$room/shown-inks.v" "$room/joined.v" "$room/chosen.v"
  mv "$room/chosen.v" "$room/joined.v"
fi
write_files "$room/line.v"
