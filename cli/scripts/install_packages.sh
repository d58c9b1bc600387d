#!/usr/bin/env bash
# Installs what the build and the tests need on Debian 12, where anything is missing. Used by
# cli/demo.sh and tests/run.sh; may be run alone.
#   install_packages.sh build    compiler, libraries, npm
#   install_packages.sh tests    that and what only the tests use
set -euo pipefail

build_packages=(
  g++ cmake ninja-build ccache pkg-config
  libeigen3-dev libserialport-dev libboost-dev libhdf5-dev
  libcli11-dev libfmt-dev nlohmann-json3-dev libtomlplusplus-dev libexpected-dev
)
test_packages=(
  libgtest-dev libgmock-dev librapidcheck-dev libbenchmark-dev
  python3-h5py python3-scipy hdf5-tools chromium binutils
)

wanted=("${build_packages[@]}")
if [ "${1:-build}" = tests ]; then wanted+=("${test_packages[@]}"); fi
# A machine may bring node and npm from elsewhere; Debian's are taken only where there are none.
command -v npm >/dev/null 2>&1 || wanted+=(nodejs npm)

missing=()
for package in "${wanted[@]}"; do
  status=$(dpkg-query -W -f='${Status}' "$package" 2>/dev/null || true)
  [ "$status" = "install ok installed" ] || missing+=("$package")
done
[ ${#missing[@]} -gt 0 ] || exit 0

as_root=()
if [ "$(id -u)" -ne 0 ]; then as_root=(sudo); fi
echo "Installing: ${missing[*]}"
export DEBIAN_FRONTEND=noninteractive
"${as_root[@]}" apt-get update -qq
"${as_root[@]}" apt-get install -y -qq --no-install-recommends "${missing[@]}" >/dev/null
