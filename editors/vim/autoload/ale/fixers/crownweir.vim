" Lays plans out, for ALE. A plan that cannot be read is left as it is: the
" program then writes nothing.
call ale#Set('weir_crownweir_executable', 'crownweir')

function! ale#fixers#crownweir#Fix(buffer) abort
  return {'command': ale#Escape(ale#Var(a:buffer, 'weir_crownweir_executable')) . ' fmt -'}
endfunction
