if exists("b:did_ftplugin") | finish | endif
let b:did_ftplugin = 1

let s:cpo_save = &cpo
set cpo&vim

setlocal commentstring=#\ %s
setlocal comments=:#
setlocal formatoptions-=t formatoptions+=croql
" a name may hold a hyphen, and a dot reaches into a placed typical
setlocal iskeyword=@,48-57,_,-,.
setlocal expandtab shiftwidth=2 softtabstop=2

let b:undo_ftplugin = "setlocal commentstring< comments< formatoptions< iskeyword< expandtab< shiftwidth< softtabstop<"

if executable("crownweir")
  compiler crownweir
  let b:undo_ftplugin .= " makeprg< errorformat<"
endif

" where ALE is, it learns the fixer's name
if !has("nvim") && get(g:, "loaded_ale", 0)
  call ale#fix#registry#Add("crownweir", "ale#fixers#crownweir#Fix", ["weir"], "Lay plans out with crownweir")
endif

let &cpo = s:cpo_save
unlet s:cpo_save
