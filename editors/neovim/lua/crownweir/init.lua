-- Starts the language server for plans, with what each Neovim since 0.7 has
-- for it. From 0.11 on vim.lsp.enable('crownweir') does the same.
local M = {}

local running = {} -- by root folder, for Neovim before 0.8

local function root_of(path)
  local folder = vim.fn.fnamemodify(path, ':p:h')
  local found = vim.fn.findfile('crownweir.toml', folder .. ';')
  if found ~= '' then
    return vim.fn.fnamemodify(found, ':p:h')
  end
  found = vim.fn.finddir('.git', folder .. ';')
  if found ~= '' then
    return vim.fn.fnamemodify(found, ':p:h:h')
  end
  return folder
end

-- keys gives a buffer what Neovim gives it by itself since 0.8: completion by
-- i_CTRL-X_CTRL-O, definitions by CTRL-], layout by gq.
local function keys(buffer)
  local lsp = {
    omnifunc = 'v:lua.vim.lsp.omnifunc',
    tagfunc = 'v:lua.vim.lsp.tagfunc',
    formatexpr = 'v:lua.vim.lsp.formatexpr()',
  }
  for option, value in pairs(lsp) do
    if vim.api.nvim_buf_get_option(buffer, option) == '' then
      vim.api.nvim_buf_set_option(buffer, option, value)
    end
  end
end

-- start attaches a buffer to the server of its root folder. options go over
-- what is given to the client: cmd, on_attach, capabilities and so on.
function M.start(buffer, options)
  options = options or {}
  local cmd = options.cmd or { 'crownweir', 'lsp' }
  if vim.fn.executable(cmd[1]) == 0 then
    vim.notify_once(cmd[1] .. ' was not found; put it on the PATH, or give setup its cmd', vim.log.levels.WARN)
    return nil
  end
  local root = root_of(vim.api.nvim_buf_get_name(buffer))
  local config = vim.tbl_extend('force', { name = 'crownweir', cmd = cmd, root_dir = root }, options)
  if vim.lsp.start then
    return vim.lsp.start(config, { bufnr = buffer })
  end
  local id = running[root]
  if not (id and vim.lsp.get_client_by_id(id)) then
    id = vim.lsp.start_client(config)
    running[root] = id
  end
  if id and vim.lsp.buf_attach_client(buffer, id) then
    keys(buffer)
  end
  return id
end

-- setup starts the server for every plan that is opened from now on, and for
-- the one that is open.
function M.setup(options)
  vim.api.nvim_create_autocmd('FileType', {
    pattern = 'weir',
    group = vim.api.nvim_create_augroup('crownweir', { clear = true }),
    callback = function(event)
      M.start(event.buf, options)
    end,
  })
  if vim.bo.filetype == 'weir' then
    M.start(vim.api.nvim_get_current_buf(), options)
  end
end

return M
