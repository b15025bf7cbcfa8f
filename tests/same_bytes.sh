#!/usr/bin/env bash
# Prints everything that a change of structure must leave alone, and one checksum a file: `tests/same_bytes.sh BINARY > NEW.sums`, once with
# the binary before and once with the one after, then `diff`. A station that is refused leaves its message instead. With `--words` as the second
# argument codes and content versions count for nothing and PDFs are left out: for changes that move words from Rust to YAML.
set -uo pipefail
bin=$(realpath "$1")
out=$(mktemp -d)
trap 'rm -rf "$out"' EXIT
cd "$out"
sites=$("$bin" list sites | awk "{print \$1}")
kinds="trace forecast compare examine nerve risk"
one() {
  local site=$1
  for kind in $kinds; do
    for level in early clinical trainee; do
      "$bin" station "$site" --kind "$kind" --level "$level" --seed 3 --out "station/$site/$kind/$level" \
        >"station.$site.$kind.$level.txt" 2>&1
    done
  done
  "$bin" findings "$site" --json >"findings.$site.json" 2>&1
  "$bin" findings "$site@partial" >"findings.$site.txt" 2>&1
  for subject in plexus nerve skin; do
    "$bin" draw "$subject" --lesion "$site" --out "draw/$site/$subject" >"draw.$site.$subject.txt" 2>&1
  done
}
mkdir -p station draw
for site in $sites; do
  while [ "$(jobs -rp | wc -l)" -ge "$(nproc)" ]; do wait -n; done
  one "$site" &
done
wait
for paper in letter; do
  for text in large spaced large-spaced; do
    "$bin" station carpal_tunnel --kind forecast --seed 5 --paper $paper --text $text --out "print/$paper/$text" >/dev/null 2>&1
  done
done
for blueprint in peer_mock faculty_day; do
  "$bin" circuit "$blueprint" --seed 6 --out "circuit/$blueprint" >"circuit.$blueprint.txt" 2>&1
done
"$bin" localise edc=lost ecrl=spared dorsoradial_hand=spared --json >localise.json 2>&1
"$bin" localise --battery radial >battery.txt 2>&1
if [ "${2:-}" = --words ]; then
  find . -name '*.pdf' -delete
  find . -type f -print0 | xargs -0 sed -i -E 's/VS-[A-Z]{2}-[0-9A-Z]{7}/CODE/g; s/[Cc]ontent version( \|)? [0-9a-f]{8}/VERSION/g'
  find . -depth -name '*VS-*' | while read -r file; do
    mv "$file" "$(dirname "$file")/$(basename "$file" | sed -E 's/VS-[A-Z]{2}-[0-9A-Z]{7}/CODE/g')"
  done
fi
find . -type f | sort | xargs sha256sum
