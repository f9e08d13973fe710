declare module 'virtual:equations' {
  /** By block: what each equation says, and itself as MathML. */
  const equations: Readonly<Record<string, readonly (readonly [words: string, mathml: string])[]>>;
  export default equations;
}
