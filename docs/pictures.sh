#!/usr/bin/env bash
# Makes the pictures of README.md and docs/ anew, with the command that everybody has.  Run it where `somsim` is the one of
# this checkout; tests/test_pictures.py says when it is time.
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."

made="$(mktemp -d)"
trap 'rm -rf "$made"' EXIT
somsim compare configs/hillside.yaml --out "$made/hillside" >"$made/answer.txt"
mkdir -p docs/pictures
for name in organic-matter equivalence; do
    cp "$made/hillside/$name.svg" "docs/pictures/hillside-$name.svg"
done
