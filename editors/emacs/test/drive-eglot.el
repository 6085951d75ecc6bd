;;; drive-eglot.el --- A drive of eglot  -*- lexical-binding: t; -*-
;; emacs --batch -Q -L editors/emacs -L editors/emacs/test -l …/drive-eglot.el

(require 'harness)
(require 'eglot)
(require 'flymake)
(setq test-client "eglot"
      eglot-sync-connect 10 eglot-autoshutdown t flymake-no-changes-timeout nil)

(defun test-flush ()
  "Send what was typed: eglot does so when Emacs is idle, and a batch never is."
  (eglot--signal-textDocument/didChange))
(defun test-findings () (sort (flymake-diagnostics) (lambda (a b) (< (flymake-diagnostic-beg a) (flymake-diagnostic-beg b)))))
(defun test-words () (mapcar (lambda (d) (buffer-substring-no-properties (flymake-diagnostic-beg d) (flymake-diagnostic-end d))) (test-findings)))
(defun test-await (words)
  (test-wait (format "findings under %S" words)
             (lambda () (flymake-start) (equal (test-words) words))))

(find-file (getenv "PLAN"))
(unless (eq major-mode 'weir-mode) (test-fail "the mode is %s" major-mode))
(call-interactively #'eglot)
(test-wait "eglot manages the plan" #'eglot-managed-p)
(test-await '("cieling" "east 4'6\""))
(let ((finding (cadr (test-findings))))
  (unless (and (eq (flymake-diagnostic-type finding) 'eglot-error)
               (string-match-p "long-trap-arm" (flymake-diagnostic-text finding)))
    (test-fail "the finding is %s %s" (flymake-diagnostic-type finding) (flymake-diagnostic-text finding))))
(test-say "findings under their words")

(test-replace 24 "east 4'6\"" "east 3'")
(test-flush)
(test-await '("cieling"))
(test-say "an edit mends a finding")

(test-goto 17 14)
(let ((hover (format "%s" (jsonrpc-request (eglot-current-server) :textDocument/hover (eglot--TextDocumentPositionParams)))))
  (unless (and (string-match-p "lavatory" hover) (string-match-p "not an approval" hover)) (test-fail "the hover is %s" hover)))
(test-say "a hover")

(test-goto 11 24)
(let* ((actions (eglot-code-actions (point) (point)))
       (fix (cl-find-if (lambda (action) (string-match-p "ceiling" (plist-get action :title))) actions)))
  (unless fix (test-fail "no fix names the word: %S" actions))
  (cl-letf (((symbol-function 'completing-read) (lambda (&rest _) (plist-get fix :title)))
            (last-nonmenu-event t))
    (eglot--read-execute-code-action (list fix) (eglot-current-server))))
(unless (equal (test-line 11) "room powder on ground ceiling 8'") (test-fail "the fix wrote %s" (test-line 11)))
(test-flush)
(test-await nil)
(test-say "a fix")

(test-goto 24 5)
(eglot-format-buffer)
(unless (equal (test-line 9) "level ground at 0'") (test-fail "laid out: %s" (test-line 9)))
(unless (and (= (line-number-at-pos) 24) (= (current-column) 5)) (test-fail "the cursor is at %d:%d" (line-number-at-pos) (current-column)))
(save-buffer)
(test-say "laid out, the cursor in its place")

(eglot-shutdown (eglot-current-server))
(kill-emacs 0)
;;; drive-eglot.el ends here
