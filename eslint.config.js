import js from '@eslint/js';
import tseslint from 'typescript-eslint';

/**
 * `Math` functions whose last bits the language leaves to the engine. The project's own, in `src/core/maths.ts`, give
 * the same bits everywhere. `Math.sqrt`, `abs`, `floor`, `min`, `fround`, ... are exact and stay allowed.
 */
const inexactMath =
  'acos acosh asin asinh atan atan2 atanh cbrt cos cosh exp expm1 hypot log log10 log1p log2 pow sin sinh tan tanh';

const engineMath = inexactMath.split(' ').map((property) => ({
  object: 'Math',
  property,
  message: `Math.${property} differs between engines: use src/core/maths.ts.`,
}));

const unseeded = {
  object: 'Math',
  property: 'random',
  message: 'The same input gives the same output: use Random of src/core/random.ts.',
};

const engineMathSyntax = [
  { selector: "BinaryExpression[operator='**']", message: '** differs between engines: use pow of src/core/maths.ts.' },
  {
    selector: "AssignmentExpression[operator='**=']",
    message: '**= differs between engines: use pow of src/core/maths.ts.',
  },
  {
    selector: "VariableDeclarator[init.name='Math'], MemberExpression[object.name='Math'][computed=true]",
    message: 'Name the Math function where it is called, so that this rule can see it.',
  },
];

const noDefaultExport = { selector: 'ExportDefaultDeclaration', message: 'Named exports only.' };
const noExportAll = {
  selector: 'ExportAllDeclaration',
  message: 'Name what is exported: export * keeps bundlers from dropping what is not used.',
};

export default tseslint.config(
  { ignores: ['**/dist', 'out', 'coverage', 'temp', 'site', 'tests/vectors', 'simd'] },
  js.configs.recommended,
  {
    files: ['**/*.ts'],
    extends: [...tseslint.configs.strictTypeChecked],
    languageOptions: {
      parserOptions: {
        project: [
          'tsconfig.json',
          'tsconfig.node.json',
          'tsconfig.worklet.json',
          'tsconfig.tests.json',
          'tsconfig.examples.json',
        ],
        tsconfigRootDir: import.meta.dirname,
      },
    },
    rules: {
      // noUncheckedIndexedAccess is off, so `!` is rare; where it stands, the line above says why.
      '@typescript-eslint/no-non-null-assertion': 'off',
      // Messages are full of numbers and yes/no values: `must be 0 to 1000, got ${value}`.
      '@typescript-eslint/restrict-template-expressions': ['error', { allowNumber: true, allowBoolean: true }],
      // `() => gate.set(options)` in a test or a callback is clearer than the same with braces.
      '@typescript-eslint/no-confusing-void-expression': [
        'error',
        { ignoreArrowShorthand: true, ignoreVoidReturningFunctions: true },
      ],
      // Arguments and options come from JavaScript and JSON too: checks that the types call needless are the contract.
      '@typescript-eslint/no-unnecessary-condition': 'off',
      // A processor without parameters has an empty table.
      '@typescript-eslint/no-generated-empty-object-type': 'off',
      // Locals of hot loops begin as numbers: the engine keeps them unboxed.
      'no-useless-assignment': 'off',
      // A type parameter that appears once still tells how a table and its options belong together.
      '@typescript-eslint/no-unnecessary-type-parameters': 'off',
      // Spread strings are tags of four ASCII letters, as in `[...'RIFF']`.
      '@typescript-eslint/no-misused-spread': ['error', { allow: ['string'] }],
      '@typescript-eslint/no-unused-vars': ['error', { argsIgnorePattern: '^_', varsIgnorePattern: '^_' }],
      '@typescript-eslint/consistent-type-imports': ['error', { fixStyle: 'inline-type-imports' }],
      eqeqeq: 'error',
    },
  },
  {
    files: ['src/**/*.ts'],
    rules: {
      'no-console': 'error',
      'no-restricted-properties': ['error', ...engineMath, unseeded],
      'no-restricted-syntax': ['error', noDefaultExport, noExportAll, ...engineMathSyntax],
      '@typescript-eslint/explicit-module-boundary-types': 'error',
    },
  },
  {
    // Here the project's own functions are made; the rule against default exports stays.
    files: ['src/core/maths.ts'],
    rules: {
      'no-restricted-properties': ['error', unseeded],
      'no-restricted-syntax': ['error', noDefaultExport, noExportAll],
    },
  },
  {
    // What a bundler makes of a script is a default export.
    files: ['src/worklet/bundle-text.d.ts'],
    rules: { 'no-restricted-syntax': 'off' },
  },
  { files: ['src/node/**/*.ts'], rules: { 'no-console': 'off' } },
  {
    files: ['examples/**/*.ts'],
    rules: { '@typescript-eslint/explicit-module-boundary-types': 'error' },
  },
  {
    files: ['tests/**/*.ts', 'bench/**/*.ts', '*.config.ts'],
    rules: {
      // Vectors are JSON and options are often wrong on purpose: the tests would be casts otherwise.
      '@typescript-eslint/no-unsafe-argument': 'off',
      '@typescript-eslint/no-unsafe-assignment': 'off',
      '@typescript-eslint/no-unsafe-call': 'off',
      '@typescript-eslint/no-unsafe-member-access': 'off',
      '@typescript-eslint/no-unsafe-return': 'off',
      '@typescript-eslint/no-explicit-any': 'off',
      '@typescript-eslint/unbound-method': 'off',
      // Published values stand with all the digits they were published with.
      'no-loss-of-precision': 'off',
      // `void value` tells the reader that a result does not matter.
      '@typescript-eslint/no-meaningless-void-operator': 'off',
    },
  },
  {
    files: ['examples/**/*.js'],
    languageOptions: {
      globals: Object.fromEntries(
        ['document', 'URL', 'AudioContext', 'AudioBuffer', 'AudioBufferSourceNode'].map((name) => [name, 'readonly']),
      ),
    },
  },
  {
    files: ['**/*.js', '**/*.mjs'],
    languageOptions: { globals: { process: 'readonly', console: 'readonly', Buffer: 'readonly' } },
  },
);
