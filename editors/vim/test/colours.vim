" vim -u NONE -i NONE -n -es -S colours.vim   with EDITORS the folder of the
" editors and OUT the file to report to. The syntax file over the sample,
" against the model's listing. Neovim runs it too.
set nocompatible encoding=utf-8 nomore noswapfile
let s:editors = $EDITORS
execute 'set runtimepath^=' . s:editors . '/' . $PLUGIN
filetype plugin on
syntax on

" the class of a group: links are followed to the group of a class
let s:classes = {}
for s:look in json_decode(join(readfile(s:editors . '/testdata/looks.json'), ''))
  let s:group = 'weir' . join(map(split(s:look.class, '-'), 'toupper(v:val[0]) . v:val[1:]'), '')
  let s:classes[s:group] = s:look.class
endfor
let s:classes['weirEscape'] = 'text'

function! s:ClassOf(id) abort
  let l:name = synIDattr(a:id, 'name')
  while l:name !=# '' && !has_key(s:classes, l:name)
    let l:name = matchstr(execute('highlight ' . l:name), 'links to \zs\S\+')
  endwhile
  return get(s:classes, l:name, '')
endfunction

let s:wrong = []
let s:seen = 0
try
  execute 'edit ' . s:editors . '/testdata/colours.weir'
  if &filetype !=# 'weir' || &commentstring !=# '# %s'
    call add(s:wrong, 'file type ' . &filetype . ', comment string ' . &commentstring)
  endif
  let s:wanted = {}
  for s:entry in readfile(s:editors . '/testdata/colours.golden')
    let s:part = matchlist(s:entry, '^\(\d\+\):\(\d\+\)-\(\d\+\) \(\S\+\) ')
    for s:column in range(s:part[2], s:part[3])
      let s:wanted[s:part[1] . ':' . s:column] = s:part[4]
    endfor
  endfor
  for s:row in range(1, line('$'))
    let s:column = 0
    for s:char in split(getline(s:row), '\zs')
      let s:column += 1
      if s:char =~# '[ \t,:]' | continue | endif
      let s:seen += 1
      let s:want = get(s:wanted, s:row . ':' . s:column, '')
      let s:got = s:ClassOf(synID(s:row, byteidx(getline(s:row), s:column - 1) + 1, 0))
      if s:got !=# s:want
        call add(s:wrong, printf('colours.weir:%d:%d: %s is %s, not %s: %s', s:row, s:column, s:char, s:got, s:want, getline(s:row)))
      endif
    endfor
  endfor
catch
  call add(s:wrong, v:exception . ' at ' . v:throwpoint)
endtry
if s:seen < 1000 | call add(s:wrong, 'only ' . s:seen . ' characters were looked at') | endif
call writefile(empty(s:wrong) ? ['ok syntax file: ' . s:seen . ' characters'] : s:wrong[0:19] + ['FAIL syntax file: ' . len(s:wrong) . ' characters'], $OUT)
if !empty(s:wrong) | cquit | endif
qa!
