#!/usr/bin/env bash
# Makes templates/catalogue/three.js (what the catalogue's 3D view uses of three.js, as one classic
# script) and three-LICENSE.txt anew. Needs Node.js with npm, and is run by hand only when the
# version in package.json changes; the result is kept, so that nobody needs Node to install.
set -euo pipefail
here=$(cd "$(dirname "$0")" && pwd)
to="$here/../../templates/catalogue"
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
cp "$here/package.json" "$here/entry.js" "$work/"
cd "$work"
npm install --no-audit --no-fund --no-package-lock --silent
version=$(node -p 'JSON.parse(fs.readFileSync("node_modules/three/package.json")).version')
{
  echo "/* three.js $version, the parts the catalogue uses, bundled by .ci/three/bundle.sh."
  echo
  cat node_modules/three/LICENSE
  echo "*/"
} > banner.txt
npx esbuild entry.js --bundle --minify --format=iife --global-name=MandrelThree \
  --legal-comments=none --charset=utf8 --target=es2020 --outfile=bundle.js --log-level=warning
if grep -qi '</script\|<!--' bundle.js; then
  echo "the bundle would end the page's script early" >&2
  exit 1
fi
cat banner.txt bundle.js > "$to/three.js"
cp node_modules/three/LICENSE "$to/three-LICENSE.txt"
