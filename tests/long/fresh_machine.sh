#!/usr/bin/env bash
# The README's claim, on a machine that has nothing: an empty Debian root by debootstrap, only the
# system packages that the README names, then its first command, and its second as well with TESTS=1.
# Needs root and debootstrap. SUITE=testing brings the newest Python that Debian has.
#   [SUITE=testing] [TESTS=1] bash tests/long/fresh_machine.sh [FOLDER]
set -euo pipefail
here=$(cd "$(dirname "$0")/../.." && pwd)
root=${1:-$(mktemp -d)}
suite=${SUITE:-bookworm}

debootstrap --variant=minbase "$suite" "$root" >"$root.log" 2>&1
cleanup() { umount "$root/proc" 2>/dev/null || true; }
trap cleanup EXIT
mount -t proc proc "$root/proc"
cp /etc/resolv.conf "$root/etc/resolv.conf"
for file in /etc/apt/apt.conf.d/*proxy*; do
  [ -f "$file" ] && install -D -m 644 "$file" "$root$file"
done

# A workplace behind its own certificates hands them on.
if [ -n "${SSL_CERT_FILE:-}" ] && [ -f "$SSL_CERT_FILE" ]; then
  install -D -m 644 "$SSL_CERT_FILE" "$root/etc/ssl/workplace.crt"
  certs="SSL_CERT_FILE=/etc/ssl/workplace.crt PIP_CERT=/etc/ssl/workplace.crt"
  echo 'Acquire::https::CAInfo "/etc/ssl/workplace.crt";' >"$root/etc/apt/apt.conf.d/99workplace"
fi

# The first line is for the light install, the second for the CAD kernel, which the tests need.
lines=1
[ -z "${TESTS:-}" ] || lines=2
packages=$(sed -n 's/.*apt-get install \([a-z0-9. -]*\)`.*/\1/p' "$here/README.md" |
  head -"$lines" | tr '\n' ' ')
command=$(sed -n '/mandrelgen make templates/p' "$here/README.md" | grep '^python3 -m venv' | head -1)
tests=$(sed -n '/-m pytest/p' "$here/README.md" | grep '^python3 -m venv' | head -1)
echo "system packages: $packages"
echo "command: $command"
# A mirror of a suite that moves may be older than its own term.
# shellcheck disable=SC2086
chroot "$root" sh -c "apt-get -o Acquire::Check-Valid-Until=false update -qq && DEBIAN_FRONTEND=noninteractive apt-get install -y -qq $packages" >>"$root.log" 2>&1
git -C "$here" archive --prefix=mandrelgen/ HEAD | tar -x -C "$root/root"
env_keep="$(env | grep -iE '^(https?_proxy|no_proxy)=' || true) ${certs:-}"
# shellcheck disable=SC2086
chroot "$root" env -i PATH=/usr/sbin:/usr/bin:/sbin:/bin HOME=/root $env_keep sh -c "cd /root/mandrelgen && $command"
find "$root/root/mandrelgen/output" -name '*.pdf' | sort
chroot "$root" python3 --version
if [ -n "${TESTS:-}" ]; then
  # shellcheck disable=SC2086
  chroot "$root" env -i PATH=/usr/sbin:/usr/bin:/sbin:/bin HOME=/root $env_keep sh -c "cd /root/mandrelgen && $tests"
fi
echo "fresh machine: passed"
