autocmd BufRead,BufNewFile *.weir setfiletype weir
