#!/usr/bin/env bash
# The version ranges of pyproject.toml, proved at both ends: for every Python that is here, one
# environment with the oldest versions that the ranges allow and one with the newest, the whole
# test suite in each. Needs uv and the package registry; a Python that uv does not find is found if
# its folder of programs stands in PATH.
#   bash tests/long/versions.sh [FOLDER]          PYTHONS="3.11 3.13" ENDS="highest" TESTS="tests/files/test_dxf.py"
set -uo pipefail
here=$(cd "$(dirname "$0")/../.." && pwd)
work=${1:-$(mktemp -d)}
failed=0
mkdir -p "$work"

for python in ${PYTHONS:-3.11 3.12 3.13 3.14}; do
  if ! found=$(uv python find "$python" 2>/dev/null); then
    echo "python $python: not here, skipped"
    continue
  fi
  for end in ${ENDS:-lowest-direct highest}; do
    name=$python-$end
    log=$work/$name.log
    uv venv --quiet --seed --clear --python "$found" "$work/$name" || exit 2
    if ! uv pip install --quiet --python "$work/$name/bin/python" --resolution "$end" \
      -e "$here[test]" >"$log" 2>&1; then
      echo "$name: the packages do not go together: $(tail -1 "$log")"
      failed=1
      continue
    fi
    uv pip freeze --python "$work/$name/bin/python" >"$work/$name.versions"
    # shellcheck disable=SC2086
    if (cd "$here" && PYTHONPATH="$here" "$work/$name/bin/python" -m pytest ${TESTS:-} >>"$log" 2>&1); then
      echo "$name: $(tail -1 "$log")"
    else
      echo "$name: FAILED, $(tail -1 "$log"), see $log"
      failed=1
    fi
  done
done
exit $failed
