;;; colours.el --- The mode's colours over the sample  -*- lexical-binding: t; -*-
;; emacs --batch -Q -L editors/emacs -l editors/emacs/test/colours.el
;; Compares with the model's listing, character by character.

(prefer-coding-system 'utf-8)
(require 'weir-mode)
(require 'imenu)
(require 'json)

(defvar test-editors (expand-file-name "../.." (file-name-directory load-file-name)))
(defvar test-faces (make-hash-table :test 'equal))
(defvar test-wanted (make-hash-table :test 'equal))
(defvar test-wrong nil)
(defvar test-seen 0)

(mapc (lambda (look) (puthash (alist-get 'class look) (intern (alist-get 'face look)) test-faces))
      (json-read-file (expand-file-name "testdata/looks.json" test-editors)))

(with-temp-buffer
  (insert-file-contents (expand-file-name "testdata/colours.golden" test-editors))
  (while (re-search-forward "^\\([0-9]+\\):\\([0-9]+\\)-\\([0-9]+\\) \\([^ ]+\\) " nil t)
    (let ((line (string-to-number (match-string 1))) (column (string-to-number (match-string 2)))
          (end (string-to-number (match-string 3))) (class (match-string 4)))
      (while (<= column end)
        (puthash (cons line column) class test-wanted)
        (setq column (1+ column))))))

(find-file (expand-file-name "testdata/colours.weir" test-editors))
(unless (eq major-mode 'weir-mode) (push (format "mode %s" major-mode) test-wrong))
(font-lock-mode 1)
(font-lock-ensure)
(goto-char (point-min))
(while (not (eobp))
  (unless (looking-at "[ \t\n,:]")
    (let* ((line (line-number-at-pos)) (column (1+ (- (point) (line-beginning-position))))
           (class (gethash (cons line column) test-wanted))
           (want (gethash class test-faces 'default))
           (face (or (get-text-property (point) 'face) 'default)))
      (when (consp face) (setq face (car face)))
      (when (eq face 'font-lock-comment-delimiter-face) (setq face 'font-lock-comment-face))
      (setq test-seen (1+ test-seen))
      (unless (eq face want)
        (push (format "colours.weir:%d:%d: %c is %s, not %s (%s)" line column (char-after) face want class) test-wrong))))
  (forward-char))

;; A class without a face of its own would make the comparison blind.
(when (< (length (delete-dups (hash-table-values test-faces))) 10) (push "too few faces" test-wrong))
(when (< test-seen 1000) (push "too few characters" test-wrong))

;; What the mode does besides colours.
(defun test-equal (what want got)
  (unless (equal want got) (push (format "%s: %S, not %S" what got want) test-wrong)))
(test-equal "an inch mark opens no text" nil
            (progn (goto-char (point-min)) (search-forward "16\"") (nth 3 (syntax-ppss))))
(test-equal "a measure is one symbol" "1-1/2\""
            (progn (goto-char (point-min)) (search-forward "1-1/2\"") (backward-char 2) (thing-at-point 'symbol t)))
(with-temp-buffer
  (weir-mode)
  (insert "drain a to b 2\":\neast 2'\nlevel x at 0'\n")
  (goto-char (point-min))
  (forward-line 1)
  (indent-for-tab-command)
  (test-equal "a line behind a colon continues it" "  east 2'" (buffer-substring (line-beginning-position) (line-end-position)))
  (forward-line 1)
  (indent-for-tab-command)
  (test-equal "a statement stays in the first column" 0 (current-indentation))
  (goto-char (point-min))
  (comment-line 1)
  (test-equal "comments" "# drain" (buffer-substring 1 8)))
(with-temp-buffer
  (insert-file-contents (expand-file-name "testdata/colours.weir" test-editors))
  (weir-mode)
  (test-equal "fixtures are listed" t (and (assoc "WC1" (cdr (assoc "Fixtures" (funcall imenu-create-index-function)))) t)))
(with-temp-buffer
  (insert "house.weir:29:30: correction: trap arm of KS is too long [long-trap-arm]\nhouse.weir:31:5: caution: not known\n")
  (compilation-mode)
  (compilation--ensure-parse (point-max))
  (goto-char (point-min))
  (let ((message (get-text-property (point) 'compilation-message)))
    (test-equal "a correction is an error" 2 (and message (compilation--message->type message)))
    (test-equal "its column" 30 (and message (compilation--loc->col (compilation--message->loc message)))))
  (forward-line 1)
  (test-equal "a caution is a warning" 1
              (let ((m (get-text-property (point) 'compilation-message))) (and m (compilation--message->type m)))))

(dolist (line (last (reverse test-wrong) 20)) (princ (concat line "\n")))
(princ (if test-wrong (format "FAIL mode: %d differences\n" (length test-wrong)) (format "ok mode: %d characters\n" test-seen)))
(kill-emacs (if test-wrong 1 0))
;;; colours.el ends here
