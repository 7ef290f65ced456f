# What the libvips scripts have in common, once the page is CMYK at print size: sourced by them. Their names are used as they stand:
# room, out, profile, ppi, width, proof_width.

# join_line CMYK.v LIGHT.v: lays the line into the black and puts the inks together as $room/joined.v; black becomes
# 255 - (255 - black) x light / 255.
join_line() {
  for band in 0 1 2 3; do vips extract_band "$1" "$room/band$band.v" $band; done
  vips linear "$room/band3.v" "$room/free.v" -- -1 255
  vips multiply "$room/free.v" "$2" "$room/lit.v"
  vips linear "$room/lit.v" "$room/black.v" --uchar -- -0.00392156862745098 255
  vips bandjoin "$room/band0.v $room/band1.v $room/band2.v $room/black.v" "$room/joined.v"
}

# write_files LINE: composite, plates, line, soft-proofed picture, checksums.
write_files() {
  dots=$(awk "BEGIN { print $ppi / 25.4 }")
  vips copy "$room/joined.v" "$room/composite.v" --interpretation cmyk --xres "$dots" --yres "$dots"
  vips tiffsave "$room/composite.v" "$out/composite.tif" --compression lzw --predictor horizontal --profile "$profile"
  names=(cyan magenta yellow black)
  for band in 0 1 2 3; do vips copy "$room/band$band.v" "$out/${names[$band]}.tif[compression=lzw,predictor=horizontal]" \
    --interpretation b-w --xres "$dots" --yres "$dots"; done
  vips tiffsave "$1" "$out/line.tif" --compression ccittfax4 --bitdepth 1 --miniswhite
  # Reduced before it is shown, as platehand does.
  vips resize "$room/composite.v" "$room/proof.v" "$(awk "BEGIN { printf \"%.9f\", $proof_width / $width }")"
  vips icc_transform "$room/proof.v" "$out/proof.png" srgb --input-profile "$profile" --intent absolute
  (cd "$out" && sha256sum composite.tif cyan.tif magenta.tif yellow.tif black.tif line.tif proof.png > checksums.txt)
}
