;;; harness.el --- What the drives of Emacs share  -*- lexical-binding: t; -*-
;; PROGRAM is the server's program, PLAN a copy of testdata/house.weir.

(prefer-coding-system 'utf-8)
;; -Q leaves the system's packages out
(dolist (root '("/usr/share/emacs/site-lisp/elpa" "/usr/share/emacs/site-lisp/elpa-src"))
  (dolist (folder (file-expand-wildcards (concat root "/*")))
    (when (file-directory-p folder) (add-to-list 'load-path folder))))
(require 'weir-mode)
(require 'cl-lib)

(setq make-backup-files nil create-lockfiles nil auto-save-default nil)
(setq weir-program (getenv "PROGRAM"))

(defvar test-client "emacs")

(defun test-say (format &rest args) (princ (concat "ok " test-client ": " (apply #'format format args) "\n")))
(defun test-fail (format &rest args)
  (princ (concat "FAIL " test-client ": " (apply #'format format args) "\n"))
  (kill-emacs 1))
(defun test-wait (what condition)
  "Wait ten seconds for CONDITION, else fail with WHAT."
  (let ((end (+ (float-time) 10)) reached)
    (while (and (not (setq reached (funcall condition))) (< (float-time) end))
      (accept-process-output nil 0.05))
    (unless reached (test-fail "%s" what))))
(defun test-goto (line &optional column)
  (goto-char (point-min))
  (forward-line (1- line))
  (forward-char (or column 0)))
(defun test-line (line)
  (save-excursion (test-goto line) (buffer-substring-no-properties (point) (line-end-position))))
(defun test-replace (line from to)
  (test-goto line)
  (unless (search-forward from (line-end-position) t) (test-fail "no %s in line %d" from line))
  (replace-match to t t))

(provide 'harness)
;;; harness.el ends here
