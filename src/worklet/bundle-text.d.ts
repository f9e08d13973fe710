/** A script, bundled and minified into one string when the package is built. */
declare module '*?bundle-text' {
  const text: string;
  export default text;
}
