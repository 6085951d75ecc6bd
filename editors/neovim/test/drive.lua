-- nvim --headless -u NONE -i NONE -n -c 'luafile drive.lua'   with EDITORS the
-- folder of the editors, PROGRAM the server's program and PLAN a copy of
-- testdata/house.weir. The plugin as a user has it; the first thing that goes
-- wrong ends it.
local editors = os.getenv('EDITORS')
local plan = os.getenv('PLAN')

local function say(format, ...)
  io.stdout:write(string.format(format, ...), '\n')
end

local function fail(format, ...)
  say('FAIL neovim: ' .. format, ...)
  vim.cmd('cquit 1')
end

local function wait(what, condition)
  if not vim.wait(10000, condition, 20) then
    local seen = {}
    for _, d in ipairs(vim.diagnostic.get(0)) do
      table.insert(seen, string.format('%d:%d %s', d.lnum + 1, d.col, d.message))
    end
    fail('%s; findings: %s', what, table.concat(seen, ' | '))
  end
end

local function findings(count)
  return function()
    return #vim.diagnostic.get(0) == count
  end
end

-- the words that a finding stands under, by its byte columns
local function words(diagnostic)
  local line = vim.api.nvim_buf_get_lines(0, diagnostic.lnum, diagnostic.lnum + 1, false)[1]
  return line:sub(diagnostic.col + 1, diagnostic.end_col)
end

local function line(number)
  return vim.api.nvim_buf_get_lines(0, number - 1, number, false)[1]
end

vim.opt.runtimepath:prepend(editors .. '/neovim')
vim.cmd('filetype plugin on | syntax on')
require('crownweir').setup({ cmd = { os.getenv('PROGRAM'), 'lsp' } })

vim.cmd('edit ' .. vim.fn.fnameescape(plan))
if vim.bo.filetype ~= 'weir' then
  fail('the file type is %q', vim.bo.filetype)
end
wait('two findings', findings(2))
local found = vim.diagnostic.get(0)
table.sort(found, function(a, b)
  return a.lnum < b.lnum
end)
if words(found[1]) ~= 'cieling' or words(found[2]) ~= [[east 4'6"]] then
  fail('findings stand under %q and %q', words(found[1]), words(found[2]))
end
if found[2].code ~= 'long-trap-arm' or found[2].source ~= 'crownweir' or found[2].severity ~= vim.diagnostic.severity.ERROR then
  fail('the finding is %s', vim.inspect(found[2]))
end
say('ok neovim: findings under their words')

local arm = found[2].lnum
vim.api.nvim_buf_set_text(0, arm, found[2].col, arm, found[2].end_col, { [[east 3']] })
wait('one finding after the edit', findings(1))
say('ok neovim: an edit mends a finding')

local clients = vim.lsp.get_clients or vim.lsp.get_active_clients
vim.api.nvim_win_set_cursor(0, { 17, 14 })
local hover
for _, answer in pairs(vim.lsp.buf_request_sync(0, 'textDocument/hover', vim.lsp.util.make_position_params(0, clients()[1].offset_encoding), 5000) or {}) do
  hover = answer.result and answer.result.contents.value
end
if not (hover and hover:find('lavatory', 1, true) and hover:find('not an approval', 1, true)) then
  fail('the hover is %s', tostring(hover))
end
say('ok neovim: a hover')

vim.api.nvim_win_set_cursor(0, { 11, 24 })
vim.ui.select = function(items, _, choose)
  for i, item in ipairs(items) do
    -- 0.7 and 0.8 give pairs of client and action, later ones tables
    local action = item.action or item[2] or item
    if action.title:find('ceiling', 1, true) then
      return choose(item, i)
    end
  end
  fail('no fix names the word: %s', vim.inspect(items))
end
vim.lsp.buf.code_action()
wait('the fix', function()
  return line(11) == [[room powder on ground ceiling 8']]
end)
wait('no finding after the fix', findings(0))
say('ok neovim: a fix')

vim.api.nvim_win_set_cursor(0, { 24, 5 })
if vim.lsp.buf.format then
  vim.lsp.buf.format({ async = false })
else
  vim.lsp.buf.formatting_sync(nil, 5000)
end
local cursor = vim.api.nvim_win_get_cursor(0)
if line(9) ~= [[level ground at 0']] or cursor[1] ~= 24 or cursor[2] ~= 5 then
  fail('laid out: %q, the cursor at %d:%d', line(9), cursor[1], cursor[2])
end
vim.cmd('write')
say('ok neovim: laid out, the cursor in its place')

-- :make without the server
vim.cmd('write! ' .. vim.fn.fnameescape(plan .. '.make.weir'))
vim.cmd('edit ' .. vim.fn.fnameescape(editors .. '/testdata/house.weir'))
wait('the findings of a second plan', findings(2))
vim.cmd('compiler crownweir')
vim.bo.makeprg = vim.bo.makeprg:gsub('^crownweir', vim.fn.escape(os.getenv('PROGRAM'), ' '))
vim.cmd('silent make!')
local list = vim.tbl_filter(function(entry)
  return entry.valid == 1
end, vim.fn.getqflist())
if #list ~= 2 or list[1].lnum ~= 11 or list[1].col ~= 23 or list[1].type ~= 'E' then
  fail(':make gives %s', vim.inspect(list))
end
say('ok neovim: :make')

vim.lsp.stop_client(clients())
wait('the client ends', function()
  return #clients() == 0
end)
local log = io.open(vim.lsp.get_log_path(), 'r')
local text = log and log:read('*a') or ''
if text:find('[ERROR]', 1, true) then
  fail('the log holds errors: %s', text:sub(1, 500))
end
vim.cmd('qa!')
