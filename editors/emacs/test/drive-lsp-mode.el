;;; drive-lsp-mode.el --- A drive of lsp-mode  -*- lexical-binding: t; -*-
;; emacs --batch -Q -L editors/emacs -L editors/emacs/test -l …/drive-lsp-mode.el

(require 'harness)
(require 'lsp-mode)
(require 'lsp-diagnostics)
(require 'flymake)
(setq test-client "lsp-mode"
      lsp-auto-guess-root t lsp-session-file (expand-file-name "~/lsp-session") lsp-diagnostics-provider :flymake
      lsp-idle-delay 0.05 lsp-enable-snippet nil lsp-response-timeout 10 lsp-keep-workspace-alive nil lsp-enable-file-watchers nil
      lsp-warn-no-matched-clients nil lsp-restart 'ignore
      lsp-modeline-workspace-status-enable nil lsp-modeline-code-actions-enable nil lsp-modeline-diagnostics-enable nil
      lsp-headerline-breadcrumb-enable nil)

(defun test-words ()
  (mapcar (lambda (d)
            (let* ((range (lsp-get d :range))
                   (region (lsp--range-to-region range)))
              (buffer-substring-no-properties (car region) (cdr region))))
          (sort (append (gethash (lsp--fix-path-casing (buffer-file-name)) (lsp-diagnostics t)) nil)
                (lambda (a b) (< (lsp-get (lsp-get (lsp-get a :range) :start) :line) (lsp-get (lsp-get (lsp-get b :range) :start) :line))))))
(defun test-await (words)
  (test-wait (format "findings under %S" words) (lambda () (equal (test-words) words)))
  (test-say "findings under %S" words))

(find-file (getenv "PLAN"))
(lsp)
(test-wait "lsp-mode manages the plan" (lambda () (lsp-workspaces)))
(test-await '("cieling" "east 4'6\""))
(test-replace 24 "east 4'6\"" "east 3'")
(test-await '("cieling"))
(test-goto 11 24)
(let ((fix (cl-find-if (lambda (action) (string-match-p "ceiling" (lsp-get action :title))) (lsp-code-actions-at-point))))
  (unless fix (test-fail "no fix names the word"))
  (lsp-execute-code-action fix))
(test-await nil)
(lsp-format-buffer)
(unless (equal (test-line 9) "level ground at 0'") (test-fail "laid out: %s" (test-line 9)))
(save-buffer)
(test-say "laid out")
(lsp-workspace-shutdown (car (lsp-workspaces)))
(kill-emacs 0)
;;; drive-lsp-mode.el ends here
