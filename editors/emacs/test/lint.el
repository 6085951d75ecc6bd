;;; lint.el --- What package archives ask of the mode  -*- lexical-binding: t; -*-
;; emacs --batch -Q -l editors/emacs/test/lint.el   with the packages of the
;; system on the path; compiles without a warning and lints without an error.

(dolist (root '("/usr/share/emacs/site-lisp/elpa" "/usr/share/emacs/site-lisp/elpa-src"))
  (dolist (folder (file-expand-wildcards (concat root "/*")))
    (when (file-directory-p folder) (add-to-list 'load-path folder))))
(prefer-coding-system 'utf-8)
(require 'package-lint)
(require 'bytecomp)

(defvar test-mode (expand-file-name "../weir-mode.el" (file-name-directory load-file-name)))
;; A mode must tell eglot and lsp-mode of its server without loading them.
(defvar test-accepted '("`with-eval-after-load' is for use in configurations, and should rarely be used in packages."))
(defvar test-wrong nil)

(with-temp-buffer
  (insert-file-contents test-mode t)
  (emacs-lisp-mode)
  (pcase-dolist (`(,line ,column ,type ,message) (package-lint-buffer))
    (unless (member message test-accepted)
      (push (format "weir-mode.el:%d:%d: %s: %s" line column type message) test-wrong)))
  (set-buffer-modified-p nil))

(let* ((compiled (make-temp-file "weir-mode" nil ".elc"))
       (byte-compile-error-on-warn t)
       (byte-compile-dest-file-function (lambda (_) compiled)))
  (unless (eq (byte-compile-file test-mode) t) (push "does not compile without a warning" test-wrong))
  (delete-file compiled))

(dolist (line (reverse test-wrong)) (princ (concat line "\n")))
(princ (if test-wrong "FAIL package\n" "ok package: linted and compiled\n"))
(kill-emacs (if test-wrong 1 0))
;;; lint.el ends here
