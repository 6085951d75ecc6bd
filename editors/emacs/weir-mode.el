;;; weir-mode.el --- Plumbing plans in the Weir notation  -*- coding: utf-8; lexical-binding: t; -*-

;; Version: 0.1.0
;; Keywords: languages
;; Package-Requires: ((emacs "26.3"))
;; URL: https://crownweir.example/

;;; Commentary:

;; A major mode for plans of a building's plumbing (files ending in
;; `.weir').  It colours, comments, indents continuation lines and lists a
;; plan's points.  Findings, hovers, fixes and layout come from the language
;; server `crownweir lsp', by eglot or by lsp-mode: `M-x eglot' or `M-x lsp'
;; in a plan.  Without either, `M-x compile' with "crownweir check ." makes
;; findings that `next-error' walks through.
;;
;; A finding is not an approval.  The authority having jurisdiction decides.

;;; Code:

(require 'compile)

(defgroup weir nil
  "Plumbing plans in the Weir notation."
  :group 'languages
  :prefix "weir-")

(defcustom weir-program "crownweir"
  "The program that judges plans and is their language server."
  :type 'string)

(defvar weir-mode-syntax-table
  (let ((table (make-syntax-table)))
    ;; A token ends at a blank, a comma, a colon or a comment alone, so that
    ;; 1-1/2" and 2'6" are one symbol each, with typographic marks too.
    (dolist (char (string-to-list "!\"$%&'()*+-./;<=>?@[\\]^_`{|}~′″’”−–⁄½¼¾⅓⅔⅛⅜⅝⅞"))
      (modify-syntax-entry char "_" table))
    (modify-syntax-entry ?, "." table)
    (modify-syntax-entry ?: "." table)
    (modify-syntax-entry ?# "<" table)
    (modify-syntax-entry ?\n ">" table)
    table)
  "Syntax of plans.")

(defvar weir-mode--reserved)

(defun weir-mode--name-face (group face &rest others)
  "Give FACE to the name in GROUP of the latest match.
A reserved word or one of OTHERS is no name and gets none."
  (let ((word (match-string group)))
    (and word
         (not (member word weir-mode--reserved))
         (not (member word others))
         face)))

;; Words: written by editors/grammars; do not edit.
(defconst weir-mode--reserved
  '("to" "at" "in" "on" "of" "as" "above" "below" "roof" "rise" "suit" "every" "no")
  "Words that are never names.")

(defconst weir-mode--name
  "[[:alpha:]][[:alpha:]0-9_-]*\\(?:\\.[[:alpha:]][[:alpha:]0-9_-]*\\)*\\(?:\\.\\.[[:alpha:]][[:alpha:]0-9_-]*\\(?:\\.[[:alpha:]][[:alpha:]0-9_-]*\\)*\\)?"
  "A name, or a range of names.")

(defconst weir-mode--font-lock-keywords
  (list
   (list (concat "^\\(roof\\)\\_>\\(?:[ \t]+\\(" weir-mode--name
                 "\\)\\_>\\)?")
         '(1 'font-lock-keyword-face)
         '(2 (weir-mode--name-face 2 'font-lock-function-name-face) nil t))
   (list (concat "^\\(dwelling\\)\\_>\\(?:[ \t]+\\(" weir-mode--name
                 "\\)\\_>\\)?")
         '(1 'font-lock-keyword-face)
         '(2 (weir-mode--name-face 2 'font-lock-function-name-face "baths" "bedrooms") nil t))
   (list (concat "^\\(existing\\)\\_>\\(?:[ \t]+\\(drain\\|stack\\|supply\\|vent\\|vents\\)\\_>\\(?:[ \t]+\\(" weir-mode--name
                 "\\)\\_>\\)?\\)?")
         '(1 'font-lock-keyword-face)
         '(2 'font-lock-constant-face nil t)
         '(3 (weir-mode--name-face 3 'font-lock-function-name-face) nil t))
   (list (concat "^\\(drain\\|sewer\\|vent\\|service\\|cold\\|hot\\|return\\|discharge\\|indirect\\)\\_>\\(?:[ \t]+\\(" weir-mode--name
                 "\\)\\_>\\(?:[ \t]+\\(to\\)\\_>\\(?:[ \t]+\\(" weir-mode--name
                 "\\)\\_>\\)?\\)?\\)?")
         '(1 'font-lock-builtin-face)
         '(2 (weir-mode--name-face 2 'default) nil t)
         '(3 'font-lock-keyword-face nil t)
         '(4 (weir-mode--name-face 4 'default) nil t))
   (list (concat "^\\(place\\)\\_>\\(?:[ \t]+\\(" weir-mode--name
                 "\\)\\_>\\(?:[ \t]+\\(as\\)\\_>\\(?:[ \t]+\\(" weir-mode--name
                 "\\)\\_>\\)?\\)?\\)?")
         '(1 'font-lock-keyword-face)
         '(2 (weir-mode--name-face 2 'default) nil t)
         '(3 'font-lock-keyword-face nil t)
         '(4 (weir-mode--name-face 4 'font-lock-function-name-face) nil t))
   (list (concat "^\\(except\\)\\_>\\(?:[ \t]+\\(" weir-mode--name
                 "\\)\\_>\\(?:[ \t]+\\(no\\)\\_>\\)?\\(?:[ \t]+\\(plan\\|code\\|occupancy\\|scope\\|default\\|method\\|climate\\|dwelling\\|include\\|note\\|building\\|level\\|roof\\|room\\|fixture\\|main\\|outfall\\|terminal\\|heater\\|manifold\\|ejector\\|interceptor\\|fitting\\|object\\|existing\\|drain\\|sewer\\|vent\\|service\\|cold\\|hot\\|return\\|discharge\\|indirect\\|typical\\|end\\|place\\|except\\|meet\\|inspection\\|found\\|test\\|waive\\)\\_>\\(?:[ \t]+\\(" weir-mode--name
                 "\\)\\_>\\)?\\)?\\)?")
         '(1 'font-lock-keyword-face)
         '(2 (weir-mode--name-face 2 'default) nil t)
         '(3 'font-lock-keyword-face nil t)
         '(4 'font-lock-keyword-face nil t)
         '(5 (weir-mode--name-face 5 'default) nil t))
   (list (concat "^\\(found\\)\\_>\\(?:[ \t]+\\(drain\\|sewer\\|vent\\|service\\|cold\\|hot\\|return\\|discharge\\|indirect\\)\\_>\\)?\\(?:[ \t]+\\(" weir-mode--name
                 "\\)\\_>\\)?")
         '(1 'font-lock-keyword-face)
         '(2 'font-lock-builtin-face nil t)
         '(3 (weir-mode--name-face 3 'default) nil t))
   (list (concat "^\\(code\\|waive\\|inspection\\)\\_>\\(?:[ \t]+\\(" weir-mode--name
                 "\\)\\_>\\)?")
         '(1 'font-lock-keyword-face)
         '(2 (weir-mode--name-face 2 'font-lock-constant-face) nil t))
   (list (concat "^\\(building\\|level\\|room\\|typical\\|fixture\\|main\\|outfall\\|terminal\\|heater\\|manifold\\|ejector\\|interceptor\\|fitting\\|object\\)\\_>\\(?:[ \t]+\\(" weir-mode--name
                 "\\)\\_>\\)?")
         '(1 'font-lock-keyword-face)
         '(2 (weir-mode--name-face 2 'font-lock-function-name-face) nil t))
   (list "^\\(plan\\|occupancy\\|scope\\|default\\|method\\|climate\\|include\\|note\\|end\\|meet\\|test\\)\\_>"
         '(1 'font-lock-keyword-face))
   ;; a text that is not closed
   (list "[ \t,:]\\(\"\\(?:\\\\\"\\|[^\"\n]\\)*\\)$"
         '(1 'font-lock-warning-face))
   (list "[ \t,:]\\(\\?\\)\\_>"
         '(1 'font-lock-warning-face))
   (list "[ \t,:]\\([0-9]\\{4\\}-[0-9]\\{2\\}-[0-9]\\{2\\}\\|[-−–]?\\(?:[0-9]+['′’]\\(?:[-−–]?\\(?:\\(?:[0-9]+[-−–][0-9]+[/⁄][0-9]+\\|[0-9]+[½¼¾⅓⅔⅛⅜⅝⅞]\\)\\|\\(?:[0-9]+[/⁄][0-9]+\\|[½¼¾⅓⅔⅛⅜⅝⅞]\\)\\|[0-9]+\\.[0-9]+\\|[0-9]+\\)[\"″”]\\)?\\|[0-9]+\\.[0-9]+['′’]\\|\\(?:\\(?:[0-9]+[-−–][0-9]+[/⁄][0-9]+\\|[0-9]+[½¼¾⅓⅔⅛⅜⅝⅞]\\)\\|\\(?:[0-9]+[/⁄][0-9]+\\|[½¼¾⅓⅔⅛⅜⅝⅞]\\)\\|[0-9]+\\.[0-9]+\\|[0-9]+\\)\\(?:[\"″”]\\|in\\)\\(?:[/⁄]ft\\)?\\|\\(?:[0-9]+\\.[0-9]+\\|[0-9]+\\)\\(?:ft\\|mm/m\\|mm\\|cm\\|m\\|%\\|psi\\|kPa\\|bar\\|gpm\\|L/s\\|gal\\|L\\|F\\|C\\|min\\)?\\|\\(?:[0-9]+[/⁄][0-9]+\\|[½¼¾⅓⅔⅛⅜⅝⅞]\\)\\)\\)\\_>"
         '(1 'font-lock-constant-face))
   (list (concat "[ \t,:]\\(to\\|in\\|on\\|of\\|as\\|above\\|below\\)[ \t]+\\(" weir-mode--name
                 "\\)\\_>")
         '(1 'font-lock-keyword-face)
         '(2 (weir-mode--name-face 2 'default)))
   (list (concat "[ \t,:]"
                 (regexp-opt '("trap" "cleanout" "valve" "meter" "regulator"
                               "backflow" "vacuum-breaker" "arrester"
                               "softener" "filter" "strainer" "backwater-valve"
                               "expansion-tank" "relief-valve" "flange"
                               "air-gap" "air-break" "primer" "interceptor"
                               "loss" "quarter-bend" "long-sweep" "short-sweep"
                               "eighth-bend" "sixteenth-bend" "closet-bend"
                               "return-bend" "sanitary-tee" "wye" "combination"
                               "double-sanitary-tee" "double-wye"
                               "double-fixture-fitting" "vent-tee" "tapped-tee"
                               "test-tee" "closet-flange" "reducer") t)
                 "\\_>")
         '(1 'font-lock-preprocessor-face))
   (list (concat "[ \t,:]"
                 (regexp-opt '("north" "south" "east" "west" "northeast"
                               "northwest" "southeast" "southwest" "up" "down"
                               "up-north" "up-south" "up-east" "up-west"
                               "up-northeast" "up-northwest" "up-southeast"
                               "up-southwest" "down-north" "down-south"
                               "down-east" "down-west" "down-northeast"
                               "down-northwest" "down-southeast"
                               "down-southwest" "over") t)
                 "\\_>")
         '(1 'font-lock-preprocessor-face))
   (list (concat "[ \t,:]"
                 (regexp-opt '("abs" "pvc" "pvc-80" "cast-iron" "copper-dwv"
                               "galvanized" "copper-k" "copper-l" "copper-m"
                               "pex" "pe-rt" "cpvc" "hdpe" "clay") t)
                 "\\_>")
         '(1 'font-lock-type-face))
   (list (concat "[ \t,:]"
                 (regexp-opt '("lavatory" "kitchen-sink" "laundry-tub"
                               "clothes-washer" "dishwasher" "water-closet"
                               "bidet" "urinal" "bathtub" "tub-shower" "shower"
                               "floor-drain" "floor-sink" "service-sink"
                               "bar-sink" "hand-sink" "sink" "prep-sink"
                               "three-compartment-sink" "drinking-fountain"
                               "hose-bibb" "ice-maker" "food-waste-disposer"
                               "dental-unit" "shampoo-sink" "water-softener"
                               "equipment" "lav" "ks" "cw" "dw" "wc" "ur" "tub"
                               "sh" "fd" "hb") t)
                 "\\_>")
         '(1 'font-lock-type-face))
   (list (concat "[ \t,:]"
                 (regexp-opt '("drain" "sewer" "vent" "service" "cold" "hot"
                               "return" "discharge" "indirect") t)
                 "\\_>")
         '(1 'font-lock-builtin-face))
   (list (concat "[ \t,:]"
                 (regexp-opt '("unknown") t)
                 "\\_>")
         '(1 'font-lock-warning-face))
   (list (concat "[ \t,:]"
                 (regexp-opt '("to" "at" "in" "on" "of" "as" "above" "below"
                               "suit" "every" "no" "by" "for" "with" "without"
                               "because" "approved" "until" "amended" "across"
                               "invert") t)
                 "\\_>")
         '(1 'font-lock-keyword-face))
   (list (concat "[ \t,:]"
                 (regexp-opt '("baths" "bedrooms" "rim" "outlet" "supply"
                               "head" "tail" "units" "water-units" "flow"
                               "flush" "side" "centres" "front" "floor" "limit"
                               "control" "compartments" "apart" "protected"
                               "spout" "waste" "hazard" "disposer" "existing"
                               "residual" "manhole" "roof" "admittance" "rise"
                               "opening" "lot-line" "storage" "temperature"
                               "first-hour" "relief" "inlet" "solids"
                               "discharge-valves" "volume" "trapped" "rolled"
                               "on-back" "closets" "spare" "plate" "strap"
                               "through" "hole" "edge" "near" "buried" "trench"
                               "shelf" "outside" "insulated" "size" "fall"
                               "length" "arm" "barrier" "two-way" "wall"
                               "grade" "clear" "reach" "drop" "picks-up"
                               "enters" "top" "heel" "system" "winter" "use"
                               "ceiling" "opposite-hand" "facing") t)
                 "\\_>")
         '(1 'font-lock-variable-name-face))
   (list (concat "[ \t,:]"
                 (regexp-opt '("circuit" "single-stack" "waste-stack" "wet"
                               "island" "food" "laundry" "restroom" "clinic"
                               "salon" "plant" "2x4" "2x6" "2x8" "2x10" "2x12"
                               "tank" "pressure-balance" "thermostatic" "left"
                               "right" "hose-vacuum-breaker"
                               "atmospheric-vacuum" "pressure-vacuum"
                               "double-check" "reduced-pressure" "none"
                               "hose-thread" "hand-spray" "plain" "grease"
                               "plaster" "lint" "hair" "oil" "sand" "amalgam"
                               "low" "high" "private" "public" "assembly"
                               "septic" "full-port" "gate" "stop" "check"
                               "stud" "joist" "drainage" "vents" "water"
                               "table" "engineered" "stack" "air" "held" "lost") t)
                 "\\_>")
         '(1 'font-lock-constant-face))
   (list (concat "[ \t,:]\\(" weir-mode--name
                 "\\)\\_>")
         '(1 'default)))
  "What is coloured in a plan, besides texts and comments.")
;; Words: end.

(defconst weir-mode--syntax-propertize
  ;; A mark of inches always follows a digit; a text begins where a token
  ;; does, and ends on its line.
  (syntax-propertize-rules
   ("\\(?:^\\|[ \t,:]\\)\\(\"\\)\\(?:\\\\\"\\|[^\"\n]\\)*\\(\"\\)"
    (1 (unless (nth 8 (save-excursion (syntax-ppss (match-beginning 1)))) (string-to-syntax "|")))
    (2 (unless (nth 8 (save-excursion (syntax-ppss (match-beginning 1)))) (string-to-syntax "|")))))
  "Tells texts from marks of inches.")

(defvar weir-mode--imenu
  '(("Levels" "^level[ \t]+\\([^ \t\n]+\\)" 1)
    ("Rooms" "^room[ \t]+\\([^ \t\n]+\\)" 1)
    ("Fixtures" "^fixture[ \t]+\\([^ \t\n]+\\)" 1)
    ("Points" "^\\(?:main\\|outfall\\|terminal\\|heater\\|manifold\\|ejector\\|interceptor\\|fitting\\|object\\)[ \t]+\\([^ \t\n]+\\)" 1)
    ("Typicals" "^typical[ \t]+\\([^ \t\n]+\\)" 1))
  "What `imenu' lists of a plan.")

(defun weir-mode--indent-line ()
  "Indent a line that continues the statement above it.
A statement stands in the first column; only a line that is indented
already, or that follows a comma or a colon, continues one."
  (let ((indent (cond ((save-excursion (beginning-of-line) (looking-at "[ \t]*$"))
                       (if (weir-mode--open-above-p) 2 0))
                      ((weir-mode--open-above-p) 2)
                      (t (current-indentation)))))
    (if (<= (current-column) (current-indentation))
        (indent-line-to indent)
      (save-excursion (indent-line-to indent)))))

(defun weir-mode--open-above-p ()
  "Tell whether the line above ends in a comma or a colon."
  (save-excursion
    (and (zerop (forward-line -1))
         (looking-at "[^#\n]*[,:][ \t]*\\(?:#.*\\)?$"))))

;;;###autoload
(define-derived-mode weir-mode prog-mode "Weir"
  "Major mode for plumbing plans in the Weir notation."
  (setq-local comment-start "# ")
  (setq-local comment-end "")
  (setq-local comment-start-skip "#+[ \t]*")
  (setq-local syntax-propertize-function weir-mode--syntax-propertize)
  (setq-local font-lock-defaults '(weir-mode--font-lock-keywords))
  (setq-local imenu-generic-expression weir-mode--imenu)
  (setq-local indent-line-function #'weir-mode--indent-line)
  (setq-local indent-tabs-mode nil)
  ;; the inch mark must not come in pairs
  (setq-local electric-pair-inhibit-predicate (lambda (char) (eq char ?\")))
  (setq-local compile-command (concat weir-program " check --quiet --color never " (if buffer-file-name (shell-quote-argument (file-name-nondirectory buffer-file-name)) "."))))

;;;###autoload
(add-to-list 'auto-mode-alist '("\\.weir\\'" . weir-mode))

;; A finding's first line is "path:line:column: severity: message [rule]".
;; The words for a severity are this program's own.
(defconst weir-mode--severities
  '((weir-correction "^\\([^:\n]+\\):\\([0-9]+\\):\\([0-9]+\\): correction: " 1 2 3 2)
    (weir-caution "^\\([^:\n]+\\):\\([0-9]+\\):\\([0-9]+\\): caution: " 1 2 3 1)
    (weir-advice "^\\([^:\n]+\\):\\([0-9]+\\):\\([0-9]+\\): advice: " 1 2 3 0))
  "How `compile' reads findings.")

(dolist (severity weir-mode--severities)
  (add-to-list 'compilation-error-regexp-alist-alist severity)
  (add-to-list 'compilation-error-regexp-alist (car severity)))

(defvar eglot-server-programs)
(with-eval-after-load 'eglot
  (add-to-list 'eglot-server-programs
               (cons 'weir-mode (lambda (&rest _) (list weir-program "lsp")))))

(defvar lsp-language-id-configuration)
(declare-function lsp-register-client "ext:lsp-mode")
(declare-function make-lsp-client "ext:lsp-mode")
(declare-function lsp-stdio-connection "ext:lsp-mode")
(declare-function lsp-activate-on "ext:lsp-mode")
(with-eval-after-load 'lsp-mode
  (add-to-list 'lsp-language-id-configuration '(weir-mode . "weir"))
  (lsp-register-client
   (make-lsp-client :new-connection (lsp-stdio-connection (lambda () (list weir-program "lsp")))
                    :activation-fn (lsp-activate-on "weir")
                    :server-id 'crownweir)))

(provide 'weir-mode)

;;; weir-mode.el ends here
