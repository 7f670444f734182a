#!/usr/bin/env bash
# Brings what the tests need of the machine and Python cannot bring: a PostgreSQL server, a Chromium browser, and
# certutil, by which that browser is told to trust a workshop's certificate.
# Where it may install nothing it says so; the tests that need them are then skipped, or fail where CI is set.
set -uo pipefail

wanted=()
ls /usr/lib/postgresql/*/bin/initdb >/dev/null 2>&1 || command -v initdb >/dev/null || wanted+=(postgresql)
command -v chromium >/dev/null || command -v chromium-browser >/dev/null || wanted+=(chromium)
command -v certutil >/dev/null || wanted+=(libnss3-tools)
[ ${#wanted[@]} -eq 0 ] && exit 0

if [ "$(id -u)" -ne 0 ] || ! command -v apt-get >/dev/null; then
    echo "NOT TESTED WITHOUT THEM: ${wanted[*]}; bring them with your system's packages."
    exit 0
fi
echo "installing for the tests: ${wanted[*]} ..."
apt-get update -qq && DEBIAN_FRONTEND=noninteractive apt-get install -y -qq "${wanted[@]}" >/dev/null ||
    echo "NOT INSTALLED: ${wanted[*]}; their tests are skipped, or fail where CI is set."
exit 0
