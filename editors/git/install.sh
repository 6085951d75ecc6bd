#!/bin/sh
# Teaches git to read plans: differences without what layout alone changed,
# hunks that name the room or level they stand in, differences by words, and
# on request a hook that checks plans before they are committed.
set -eu

usage() {
  cat <<'TEXT'
usage: install.sh [--global] [--hook] [--program PATH] [--uninstall]

  --global        for every repository of this user; otherwise for the one
                  that holds the current folder
  --hook          also check plans before each commit (not with --global)
  --program PATH  the program; otherwise the crownweir on the PATH
  --uninstall     take back what an earlier call set, and nothing else
TEXT
}

scope=--local hook=no program='' undo=no
while [ $# -gt 0 ]; do
  case $1 in
    --global) scope=--global ;;
    --hook) hook=yes ;;
    --uninstall) undo=yes ;;
    --program)
      [ $# -ge 2 ] || { usage >&2; exit 2; }
      program=$2
      shift
      ;;
    -h | --help) usage; exit 0 ;;
    *) echo "install.sh: $1 is no option" >&2; usage >&2; exit 2 ;;
  esac
  shift
done

here=$(cd "$(dirname "$0")" && pwd)
mark='# crownweir: written by install.sh'

die() { echo "install.sh: $1" >&2; exit 2; }

if [ "$scope" = --local ]; then
  git rev-parse --git-dir >/dev/null 2>&1 || die "this folder is in no repository; go into one, or give --global"
  attributes=$(git rev-parse --git-path info/attributes)
  target=$(git rev-parse --git-path hooks)/pre-commit
else
  [ "$hook" = no ] || die "a hook belongs to one repository; give --hook without --global"
  attributes=$(git config --global --path core.attributesFile || true)
  [ -n "$attributes" ] || attributes=${XDG_CONFIG_HOME:-$HOME/.config}/git/attributes
  target=
fi

# A line of attributes may end in no comment, so the mark stands on a line of
# its own above it.
without_ours() {
  [ -f "$attributes" ] || return 0
  awk -v mark="$mark" '$0 == mark { skip = 1; next } skip { skip = 0; next } { print }' "$attributes"
}

write_attributes() {
  kept=$(without_ours; echo .)
  kept=${kept%.}
  if [ "$1" = add ]; then
    mkdir -p "$(dirname "$attributes")"
    printf '%s%s\n%s\n' "$kept" "$mark" '*.weir diff=weir' >"$attributes.new"
  elif [ ! -f "$attributes" ]; then
    return 0
  elif [ -z "$kept" ]; then
    rm -f "$attributes"
    return 0
  else
    printf '%s' "$kept" >"$attributes.new"
  fi
  mv "$attributes.new" "$attributes"
}

if [ "$undo" = yes ]; then
  git config "$scope" --remove-section diff.weir 2>/dev/null || true
  git config "$scope" --remove-section crownweir 2>/dev/null || true
  write_attributes remove
  if [ -n "$target" ] && [ -f "$target" ] && grep -qxF "$mark" "$target"; then
    rm -f "$target"
  fi
  echo "git reads plans as any text again"
  exit 0
fi

if [ -z "$program" ]; then
  program=$(command -v crownweir) || die "crownweir is not on the PATH; name it with --program"
fi
case $program in
  /* | ?:[/\\]*) ;;
  *) program=$(cd "$(dirname "$program")" && pwd)/$(basename "$program") ;;
esac
[ -x "$program" ] || die "$program is no program"

# The whole path: git also runs where the PATH is another one.
git config "$scope" crownweir.program "$program"
# A plan that cannot be laid out, or no program: the text as it stands.
# shellcheck disable=SC2016 # $1 is for the shell that git starts
git config "$scope" diff.weir.textconv 'f() { "$(git config crownweir.program)" fmt - <"$1" 2>/dev/null || cat "$1"; }; f'
git config "$scope" diff.weir.xfuncname '^((plan|building|level|room|typical|inspection)[ 	].*)$'
git config "$scope" diff.weir.wordRegex '"[^"]*"|[^] 	,:#"]+"?|[,:#]'
write_attributes add
echo "git shows differences of plans as $program lays them out"

if [ "$hook" = yes ]; then
  if [ -f "$target" ] && ! grep -qxF "$mark" "$target"; then
    die "$target is there already and not ours; let it run $here/pre-commit"
  fi
  mkdir -p "$(dirname "$target")"
  {
    echo '#!/bin/sh'
    echo "$mark"
    sed 1d "$here/pre-commit"
  } >"$target.new"
  chmod +x "$target.new"
  mv "$target.new" "$target"
  echo "plans are checked before each commit; git commit --no-verify goes past it"
fi
