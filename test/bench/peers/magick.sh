#!/usr/bin/env bash
# One page with ImageMagick: the same outputs as vips.sh. One command reads the colour once and writes the composite, the
# plates and the proof; MAGICK names the command that is there (magick, convert).
# usage: magick.sh COLOUR.tif LINE.tif PROFILE.icc OUT_FOLDER WIDTH HEIGHT PPI PROOF_WIDTH SRGB.icc
set -euo pipefail
colour=$1 line=$2 profile=$3 out=$4 width=$5 height=$6 ppi=$7 proof_width=$8 srgb=$9
export MAGICK_THREAD_LIMIT=${COLOUR_THREADS:-1}
magick=${MAGICK:-convert}
mkdir -p "$out"
lzw=(-compress LZW -define tiff:predictor=2)
"$magick" "$line" -compress Group4 "$out/line.tif"
# What lies in mpr: stays in memory. A separated channel holds ink; Screen is 1 - (1 - black) x (1 - line).
"$magick" -units PixelsPerInch -density "$ppi" -intent Relative -black-point-compensation \
  "$colour" -filter Lanczos -resize "${width}x${height}!" -profile "$profile" -depth 8 -channel CMYK -separate +channel \
  \( -clone 0 "${lzw[@]}" -write "$out/cyan.tif" +delete \) \
  \( -clone 1 "${lzw[@]}" -write "$out/magenta.tif" +delete \) \
  \( -clone 2 "${lzw[@]}" -write "$out/yellow.tif" +delete \) \
  \( -clone 3 "${lzw[@]}" -write "$out/black.tif" +delete \) \
  \( "$line" -colorspace Gray -filter Lanczos -resize "${width}x${height}!" -negate \) \
  \( -clone 3,4 -compose Screen -composite \) -delete 3,4 \
  -set colorspace CMYK -combine +profile '*' -profile "$profile" \
  "${lzw[@]}" -write "$out/composite.tif" \
  -intent Absolute +set black-point-compensation -filter Lanczos -resize "$proof_width" -profile "$srgb" \
  -density 150 "$out/proof.png"
(cd "$out" && sha256sum composite.tif cyan.tif magenta.tif yellow.tif black.tif line.tif proof.png > checksums.txt)
