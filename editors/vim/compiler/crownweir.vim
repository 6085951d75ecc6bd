if exists("current_compiler") | finish | endif
let current_compiler = "crownweir"

let s:cpo_save = &cpo
set cpo&vim

CompilerSet makeprg=crownweir\ check\ --quiet\ --color\ never\ %:S
" a finding's first line is path:line:column: severity: message [rule];
" corrections are errors, cautions warnings, advice is information
CompilerSet errorformat=%E%f:%l:%c:\ correction:\ %m,
			\%W%f:%l:%c:\ caution:\ %m,
			\%I%f:%l:%c:\ advice:\ %m,
			\%-G%.%#

let &cpo = s:cpo_save
unlet s:cpo_save
