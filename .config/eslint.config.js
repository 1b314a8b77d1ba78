// Type-aware lint rules for the whole tree; formatting is prettier's job.
import tseslint from 'typescript-eslint'

export default tseslint.config(
  { ignores: ['node_modules/', 'tests/.out/', 'db/types.ts', '.config/'] },
  {
    files: ['**/*.ts', '**/*.tsx'],
    extends: [tseslint.configs.recommended],
    languageOptions: {
      parserOptions: {
        projectService: true,
        tsconfigRootDir: new URL('..', import.meta.url).pathname,
      },
    },
    rules: {
      '@typescript-eslint/no-explicit-any': 'error',
      '@typescript-eslint/no-non-null-assertion': 'error',
      '@typescript-eslint/no-floating-promises': 'error',
      '@typescript-eslint/no-misused-promises': ['error', { checksVoidReturn: false }],
      '@typescript-eslint/await-thenable': 'error',
      '@typescript-eslint/switch-exhaustiveness-check': 'off',
      '@typescript-eslint/consistent-type-imports': 'error',
      'max-lines-per-function': ['error', { max: 70, skipComments: true, skipBlankLines: true }],
      'max-lines': ['error', { max: 350, skipComments: false }],
      eqeqeq: 'error',
      'no-console': 'off',
      'prefer-const': 'error',
    },
  },
  { files: ['tests/**'], rules: { 'max-lines-per-function': 'off' } },
)
