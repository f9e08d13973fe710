export default {
  mode: 'production',
  context: import.meta.dirname,
  entry: './main.js',
  output: { path: `${import.meta.dirname}/dist` },
  performance: { hints: false },
};
