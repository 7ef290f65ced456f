#!/usr/bin/env bash
# One page with the libvips command line: CMYK at print size (relative colorimetric, black point compensation), line in
# the composite's black, four plates, the 1-bit line, a soft-proofed picture, checksums. Written to be quick: it reduces
# before it converts, keeps what goes between the steps uncompressed in memory (/dev/shm), and leaves each step's threads
# to the number that COLOUR_THREADS says (1 where pages run side by side).
# usage: vips.sh COLOUR.tif LINE.tif PROFILE.icc OUT_FOLDER WIDTH HEIGHT PPI PROOF_WIDTH
# COLOUR_STEP=tificc converts with Little CMS's tificc instead.
set -euo pipefail
colour=$1 line=$2 profile=$3 out=$4 width=$5 height=$6 ppi=$7 proof_width=$8
export VIPS_CONCURRENCY=${COLOUR_THREADS:-1}
room=$(mktemp -d -p "$([ -d /dev/shm ] && echo /dev/shm || echo "${TMPDIR:-/tmp}")")
trap 'rm -rf "$room"' EXIT
mkdir -p "$out"
full_width=$(vipsheader -f width "$colour") full_height=$(vipsheader -f height "$colour")
across=$(awk "BEGIN { printf \"%.9f\", $width / $full_width }") down=$(awk "BEGIN { printf \"%.9f\", $height / $full_height }")

if [ "${COLOUR_STEP:-vips}" = tificc ]; then
  vips resize "$colour" "$room/small.tif" "$across" --vscale "$down"
  tificc -t1 -b -o "$profile" "$room/small.tif" "$room/cmyk.tif"
  cmyk=$room/cmyk.tif
else
  vips resize "$colour" "$room/small.v" "$across" --vscale "$down"
  vips icc_transform "$room/small.v" "$room/cmyk.v" "$profile" --intent relative --black-point-compensation
  cmyk=$room/cmyk.v
fi
# The line as light at the colour's size; black becomes 255 - (255 - black) x light / 255.
vips resize "$line" "$room/light.v" "$across" --vscale "$down"
for band in 0 1 2 3; do vips extract_band "$cmyk" "$room/band$band.v" $band; done
vips linear "$room/band3.v" "$room/free.v" -- -1 255
vips multiply "$room/free.v" "$room/light.v" "$room/lit.v"
vips linear "$room/lit.v" "$room/black.v" --uchar -- -0.00392156862745098 255
vips bandjoin "$room/band0.v $room/band1.v $room/band2.v $room/black.v" "$room/joined.v"
dots=$(awk "BEGIN { print $ppi / 25.4 }")
vips copy "$room/joined.v" "$room/composite.v" --interpretation cmyk --xres "$dots" --yres "$dots"
vips tiffsave "$room/composite.v" "$out/composite.tif" --compression lzw --predictor horizontal --profile "$profile"
names=(cyan magenta yellow black)
for band in 0 1 2 3; do vips copy "$room/band$band.v" "$out/${names[$band]}.tif[compression=lzw,predictor=horizontal]" \
  --interpretation b-w --xres "$dots" --yres "$dots"; done
vips tiffsave "$line" "$out/line.tif" --compression ccittfax4 --bitdepth 1 --miniswhite
# Reduced before it is shown, as platehand does.
vips resize "$room/composite.v" "$room/proof.v" "$(awk "BEGIN { printf \"%.9f\", $proof_width / $width }")"
vips icc_transform "$room/proof.v" "$out/proof.png" srgb --input-profile "$profile" --intent absolute
(cd "$out" && sha256sum composite.tif cyan.tif magenta.tif yellow.tif black.tif line.tif proof.png > checksums.txt)
