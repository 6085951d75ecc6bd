" vim -u NONE -i NONE -n -es -S drive.vim   ALE as a user has it. EDITORS is the
" folder of the editors, PROGRAM the server's program, PLAN a copy of
" testdata/house.weir, OUT the file to report to. ALE counts columns in
" UTF-16 units and shows them as bytes, so the plan has no letter beyond ASCII.
set nocompatible encoding=utf-8 nomore noswapfile hidden
execute 'set runtimepath^=' . $EDITORS . '/vim'
set runtimepath+=/usr/share/vim-ale
let g:ale_weir_crownweir_executable = $PROGRAM
let g:ale_linters = {'weir': ['crownweir']}
let g:ale_fixers = {'weir': ['crownweir']}
let g:ale_lint_delay = 20
let g:ale_lint_on_insert_leave = 0
let g:ale_echo_cursor = 0
let g:ale_hover_to_preview = 1
runtime! plugin/ale.vim
filetype plugin on
syntax on

let s:said = []
function! s:Say(text) abort
  call add(s:said, 'ok vim-ale: ' . a:text)
endfunction

function! s:Wait(what, condition) abort
  for l:i in range(500)
    if a:condition() | return | endif
    sleep 20m
  endfor
  throw 'test: ' . a:what . '; findings ' . string(s:Words())
endfunction

" the words that findings stand under
function! s:Words() abort
  return map(copy(ale#engine#GetLoclist(bufnr(''))), 'getline(v:val.lnum)[v:val.col - 1 : v:val.end_col - 1]')
endfunction

function! s:Under(words) abort
  call s:Wait('findings under ' . string(a:words), {-> s:Words() ==# a:words})
endfunction

" the fix that names the word, where ALE asks which
function! s:Choose(question) abort
  let l:number = matchstr(a:question, '\d\+\ze) [^\n]*ceiling')
  if l:number ==# '' | throw 'test: no fix names the word: ' . a:question | endif
  return l:number
endfunction

function! s:Drive() abort
  execute 'edit ' . fnameescape($PLAN)
  if &filetype !=# 'weir' | throw 'test: file type ' . &filetype | endif
  call s:Under(['cieling', 'east 4''6"'])
  let l:arm = ale#engine#GetLoclist(bufnr(''))[1]
  if l:arm.code !=# 'long-trap-arm' || l:arm.type !=# 'E' | throw 'test: ' . string(l:arm) | endif
  call s:Say('findings under their words')

  call setline(24, substitute(getline(24), 'east 4''6"', 'east 3''', ''))
  doautocmd TextChanged
  call s:Under(['cieling'])
  call s:Say('an edit mends a finding')

  call cursor(17, 15)
  ALEHover
  call s:Wait('a hover', {-> bufnr('ALEPreviewWindow') > 0 && join(getbufline('ALEPreviewWindow', 1, '$')) =~# 'lavatory.*not an approval'})
  pclose
  call s:Say('a hover')

  runtime autoload/ale/util.vim " so that the question in it can be answered
  execute "function! ale#util#Input(question, value, ...) abort\n return call(function('" . expand('<SID>') . "Choose'), [a:question])\nendfunction"
  call cursor(11, 25)
  ALECodeAction
  call s:Wait('the fix', {-> getline(11) ==# 'room powder on ground ceiling 8'''})
  doautocmd TextChanged
  call s:Under([])
  call s:Say('a fix')

  call cursor(24, 6)
  ALEFix
  call s:Wait('laid out', {-> getline(9) ==# 'level ground at 0'''})
  if getcurpos()[1:2] != [24, 6] | throw 'test: the cursor is at ' . string(getcurpos()) | endif
  write
  call s:Say('laid out, the cursor in its place')

  call setline(12, 'garbled    line')
  let l:before = getline(1, '$')
  ALEFix
  sleep 500m
  if getline(1, '$') !=# l:before | throw 'test: a plan that cannot be read was changed by its layout' | endif
  silent undo
  call s:Say('a plan that cannot be read stays')

  execute 'edit ' . fnameescape($EDITORS . '/testdata/house.weir')
  compiler crownweir
  let &l:makeprg = substitute(&l:makeprg, '^crownweir', escape($PROGRAM, '\&~'), '')
  silent make!
  let l:list = filter(getqflist(), 'v:val.valid')
  if len(l:list) != 2 || l:list[0].lnum != 11 || l:list[0].col != 23 || l:list[0].type !=# 'E'
    throw 'test: :make gives ' . string(l:list)
  endif
  call s:Say(':make')
endfunction

let s:failed = 0
try
  call s:Drive()
catch
  let s:failed = 1
  call add(s:said, 'FAIL vim-ale: ' . substitute(v:exception, '^test: ', '', '') . ' at ' . v:throwpoint)
endtry
call writefile(s:said, $OUT)
if s:failed | cquit | endif
qa!
