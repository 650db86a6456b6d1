import js from "@eslint/js";
import globals from "globals";

const STATIC = "yieldopt/web/static/**/*.js";
const DESK = "yieldopt/desk/static/**/*.js";
// A room of the page knows those above it only: see the table in DEVELOPERS.md, which a test reads.
export default [
  js.configs.recommended,
  {
    files: [STATIC, DESK],
    languageOptions: {ecmaVersion: 2022, sourceType: "module", globals: globals.browser},
  },
  {
    // What is worked out from what is given knows no page, no store and no network.
    files: ["yieldopt/web/static/figures/*.js"],
    languageOptions: {
      globals: {...off(globals.browser), ...globals["shared-node-browser"], Blob: "readonly"},
    },
  },
  {
    files: ["yieldopt/web/templates/sw.js"],
    languageOptions: {ecmaVersion: 2022, sourceType: "module", globals: globals.serviceworker},
  },
  {
    files: ["tests/web/page/**/*.js", "tests/desk/page/**/*.js", ".ci/page/*.js"],
    languageOptions: {ecmaVersion: 2022, sourceType: "module", globals: globals.node},
  },
  {
    rules: {
      complexity: ["error", 14],
      curly: ["error", "multi-line"],
      eqeqeq: "error",
      "max-depth": ["error", 4],
      "max-len": ["error", {code: 100, ignoreUrls: true}],
      "max-lines": ["error", 350],
      "no-constant-binary-expression": "error",
      "no-implicit-globals": "error",
      "no-param-reassign": "off",
      "no-promise-executor-return": "off",
      "no-return-assign": "off",
      "no-shadow": "off",
      "no-unused-vars": ["error", {varsIgnorePattern: "^_", argsIgnorePattern: "^_"}],
      "no-var": "error",
      "object-shorthand": "error",
      "prefer-const": ["error", {destructuring: "all"}],
      "prefer-template": "error",
      "sort-imports": ["error", {ignoreDeclarationSort: true, ignoreCase: true}],
    },
  },
];

function off(names) {
  return Object.fromEntries(Object.keys(names).map(n => [n, "off"]));
}
