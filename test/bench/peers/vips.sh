#!/usr/bin/env bash
# One page with the libvips command line: CMYK at print size (relative colorimetric, black point compensation), line in
# the composite's black, four plates, the 1-bit line, a soft-proofed picture, checksums. Written to be quick: it reduces
# before it converts, keeps what goes between the steps uncompressed in memory (/dev/shm), and leaves each step's threads
# to the number that COLOUR_THREADS says (1 where pages run side by side).
# usage: vips.sh COLOUR.tif LINE.tif PROFILE.icc OUT_FOLDER WIDTH HEIGHT PPI PROOF_WIDTH
# COLOUR_STEP=tificc converts with Little CMS's tificc instead.
set -euo pipefail
# shellcheck source=vips-outputs.sh
. "$(dirname "$0")/vips-outputs.sh"
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
# The line as light at the colour's size.
vips resize "$line" "$room/light.v" "$across" --vscale "$down"
join_line "$cmyk" "$room/light.v"
write_files "$line"
