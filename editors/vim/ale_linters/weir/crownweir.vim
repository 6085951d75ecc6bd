" The language server, for ALE.
call ale#Set('weir_crownweir_executable', 'crownweir')

function! ale_linters#weir#crownweir#Root(buffer) abort
  for l:mark in ['crownweir.toml', '.git/HEAD']
    let l:found = ale#path#FindNearestFile(a:buffer, l:mark)
    if !empty(l:found)
      return fnamemodify(l:found, l:mark ==# '.git/HEAD' ? ':h:h' : ':h')
    endif
  endfor
  return expand('#' . a:buffer . ':p:h')
endfunction

call ale#linter#Define('weir', {
\ 'name': 'crownweir',
\ 'lsp': 'stdio',
\ 'executable': {buffer -> ale#Var(buffer, 'weir_crownweir_executable')},
\ 'command': '%e lsp',
\ 'language': 'weir',
\ 'project_root': function('ale_linters#weir#crownweir#Root'),
\})
