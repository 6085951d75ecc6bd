#!/usr/bin/env bash
# package.sh FOLDER [TARGET...]   packages the extension with the program in
# it, one file a kind of machine, and one without the program for all others.
# It wants npm ci to have run here. Without targets: all of them. SOURCE is
# the repository, where this folder is a copy outside of it.
set -euo pipefail
cd "$(dirname "$0")"
source=$(cd "${SOURCE:-../..}" && pwd)
out=$1
shift
mkdir -p "$out"
out=$(cd "$out" && pwd)
[ $# -gt 0 ] || set -- linux-x64 linux-arm64 darwin-x64 darwin-arm64 win32-x64 win32-arm64 universal
trap 'rm -rf bin' EXIT

for target in "$@"; do
  rm -rf bin
  option=(--target "$target")
  case $target in
    universal) option=() ;;
    linux-* | darwin-* | win32-*)
      system=${target%-*} machine=${target#*-} name=crownweir
      [ "$system" != win32 ] || system=windows name=crownweir.exe
      [ "$machine" != x64 ] || machine=amd64
      # the same bytes wherever it is built
      GOOS=$system GOARCH=$machine CGO_ENABLED=0 go -C "$source" build -trimpath -buildvcs=false -ldflags '-s -w -buildid=' -o "$PWD/bin/$name" ./cmd/crownweir
      ;;
    *) echo "package.sh: $target is no target" >&2; exit 2 ;;
  esac
  npm run --silent package -- ${option[@]+"${option[@]}"} --out "$out/weir-$target.vsix"
done
