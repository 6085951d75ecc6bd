#!/usr/bin/env bash
# test.sh PROGRAM   the settings of git, the hook and their undoing, in
# repositories made for it. One line a test; the first that fails ends it.
set -euo pipefail
program=$(realpath "$1")
here=$(cd "$(dirname "$0")/.." && pwd)
demo=$(cd "$here/../../testdata/demo" && pwd)/juniper-court.weir
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
export HOME=$work/home XDG_CONFIG_HOME=$work/home/.config GIT_CONFIG_NOSYSTEM=1 GIT_PAGER=cat LC_ALL=C.UTF-8
export GIT_AUTHOR_NAME=test GIT_AUTHOR_EMAIL=test@example.invalid GIT_COMMITTER_NAME=test GIT_COMMITTER_EMAIL=test@example.invalid
mkdir -p "$HOME"

ok() { echo "ok git: $1"; }
fail() { echo "FAIL git: $1"; exit 1; }
repository() {
  rm -rf "$work/plans"
  git init -q -b main "$work/plans"
  cd "$work/plans"
  "$program" new "Heron Quay, house 1" >house.weir
  git add house.weir
  git commit -q -m "A plan"
}
everything() {
  git config --local --list | sort
  cat .git/info/attributes 2>/dev/null || true
  find .git/hooks -type f ! -name '*.sample'
}

repository
before=$(everything)
"$here/install.sh" --program "$program" --hook >/dev/null
once=$(everything; cat .git/hooks/pre-commit)
"$here/install.sh" --program "$program" --hook >/dev/null
[ "$once" = "$(everything; cat .git/hooks/pre-commit)" ] || fail "a second installation changes something"
[ "$before" != "$(everything)" ] || fail "nothing was installed"
"$here/install.sh" --uninstall >/dev/null
diff <(echo "$before") <(everything) || fail "something is left after --uninstall"
"$here/install.sh" --uninstall >/dev/null
ok "installed twice, undone twice, nothing left"

echo '*.txt text' >.git/info/attributes
git config diff.other.xfuncname x
before=$(everything)
"$here/install.sh" --program "$program" >/dev/null
grep -qx '\*.txt text' .git/info/attributes || fail "another's attributes are lost"
"$here/install.sh" --uninstall >/dev/null
diff <(echo "$before") <(everything) || fail "another's settings are lost"
ok "another's settings stay"

repository
sed -i '/"[^,]*,/!s/  *\([0-9]\)/   \1/; /^drain/s/, / ,  /' house.weir
[ -n "$(git diff)" ] || fail "the layout was not changed"
"$here/install.sh" --program "$program" >/dev/null
[ -z "$(git diff)" ] || fail "a change of layout alone is shown: $(git diff)"
sed -i '$ a note "Seen on site"' house.weir
[ "$(git diff | grep -c '^[+-][^+-]')" = 1 ] || fail "a change beside a change of layout: $(git diff)"
ok "layout alone is no difference"

git checkout -q house.weir
echo 'garbled line' >>house.weir
git diff | grep -q '^+garbled line$' || fail "a plan that cannot be read is shown as it stands"
git config crownweir.program "$work/gone"
git diff | grep -q '^+garbled line$' || fail "without the program, the text as it stands"
ok "a plan that cannot be laid out is shown as it stands"

repository
cp "$demo" house.weir
git commit -q -a -m "Another"
"$here/install.sh" --program "$program" >/dev/null
sed -i 's/east 4.6"$/east 3'"'"'/' house.weir
git diff | grep -q '^@@ .* @@ room kitchen on ground$' || fail "the hunk does not name its room: $(git diff)"
git diff --word-diff=plain | grep -qF "trap, east [-4'6\"-]{+3'+}" || fail "words: $(git diff --word-diff=plain)"
ok "hunks name their room; words are the notation's"

repository
"$here/install.sh" --program "$program" --hook >/dev/null
cp "$demo" bad.weir
git add bad.weir
if git commit -q -m "A plan with corrections" >"$work/said" 2>&1; then fail "a correction was committed"; fi
grep -q '^bad.weir:29:30: correction: .*\[long-trap-arm\]$' "$work/said" || fail "the finding is not said: $(cat "$work/said")"
grep -q 'not an approval' "$work/said" || fail "the caution is not said"
"$program" new "Heron Quay, house 2" >bad.weir
if git commit -q -m "Mended in the folder alone" >"$work/said" 2>&1; then fail "what the folder holds was checked, not what is staged"; fi
git add bad.weir
cp "$demo" bad.weir
git commit -q -m "Mended" >"$work/said" 2>&1 || fail "what is staged is clean: $(cat "$work/said")"
cp "$demo" bad.weir
printf 'skip = ["long-trap-arm", "low-vent-turn"]\n' >crownweir.toml
git add bad.weir
if git commit -q -m "Settings that are not staged" >"$work/said" 2>&1; then fail "settings that are not staged were heeded"; fi
git add crownweir.toml
git commit -q -m "Settings" >"$work/said" 2>&1 || fail "settings that are staged: $(cat "$work/said")"
"$program" new "Heron Quay, house 2" >bad.weir
git commit -q -a -m "Mended again"
ok "the hook checks what is staged"

git checkout -q bad.weir
sed -i '0,/^level /s/^level  */level    /' bad.weir
git add bad.weir
if git commit -q -m "Laid out otherwise" >"$work/said" 2>&1; then fail "another layout was committed"; fi
grep -q '^bad.weir: is laid out otherwise' "$work/said" || fail "the layout is not said: $(cat "$work/said")"
git config crownweir.layout false
git commit -q -m "Laid out otherwise" >"$work/said" 2>&1 || fail "crownweir.layout false: $(cat "$work/said")"
ok "the hook asks for the layout, where it may"

mkdir "a folder"
printf 'include "parts/stall.weir"\n' | cat house.weir - >"a folder/upstairs.weir"
mkdir "a folder/parts"
printf 'level attic at 30%s\n' "'" >"a folder/parts/stall.weir"
git add "a folder"
git commit -q -m "An include" >"$work/said" 2>&1 || fail "an included plan, in a folder with a blank: $(cat "$work/said")"
git rm -q house.weir
git commit -q -m "A plan less" || fail "a plan that is taken away"
git commit -q --allow-empty -m "No plan" || fail "a commit without a plan"
[ -z "$(ls -d "${TMPDIR:-/tmp}"/crownweir-commit.* 2>/dev/null)" ] || fail "folders are left behind"
ok "includes, blanks in names, plans taken away"

repository
mkdir -p .git/hooks
printf '#!/bin/sh\nexit 0\n' >.git/hooks/pre-commit
chmod +x .git/hooks/pre-commit
if "$here/install.sh" --program "$program" --hook >/dev/null 2>"$work/said"; then fail "another's hook was overwritten"; fi
grep -q 'not ours' "$work/said" || fail "$(cat "$work/said")"
"$here/install.sh" --uninstall >/dev/null
[ -x .git/hooks/pre-commit ] || fail "another's hook was taken away"
ok "another's hook stays"

cd "$work"
"$here/install.sh" --global --program "$program" >/dev/null
repository
[ "$(git check-attr diff house.weir)" = "house.weir: diff: weir" ] || fail "not for every repository"
"$here/install.sh" --global --uninstall >/dev/null
[ "$(git check-attr diff house.weir)" = "house.weir: diff: unspecified" ] || fail "left for every repository"
[ -z "$(git config --global --list)" ] || fail "left: $(git config --global --list)"
ok "for every repository of a user"

cd "$work"
for wrong in "--program $work/gone" "--nonsense" "--global --hook"; do
  # shellcheck disable=SC2086 # each holds several arguments
  if "$here/install.sh" $wrong >/dev/null 2>&1; then fail "install.sh $wrong succeeds"; fi
done
if (cd "$work" && "$here/install.sh" --program "$program") >/dev/null 2>&1; then fail "outside any repository"; fi
ok "wrong use is refused"

if command -v pre-commit >/dev/null; then
  repository
  mkdir -p "$work/bin"
  ln -s "$program" "$work/bin/crownweir"
  cp "$here/pre-commit-config.yaml" .pre-commit-config.yaml
  cp "$demo" bad.weir
  git add .
  if PATH=$work/bin:$PATH pre-commit run >"$work/said" 2>&1; then fail "pre-commit lets a correction pass"; fi
  grep -q 'check plumbing plans.*Failed' "$work/said" || fail "pre-commit: $(cat "$work/said")"
  git rm -qf bad.weir
  PATH=$work/bin:$PATH pre-commit run --all-files >"$work/said" 2>&1 || fail "pre-commit: $(cat "$work/said")"
  ok "the pre-commit framework"
elif [ "${CI:-}" = true ]; then
  fail "pre-commit is not installed"
else
  echo "SKIP git: pre-commit is not installed"
fi
