-- For Neovim 0.11 and newer: vim.lsp.enable('crownweir') reads this.
return {
  cmd = { 'crownweir', 'lsp' },
  filetypes = { 'weir' },
  root_markers = { 'crownweir.toml', '.git' },
}
