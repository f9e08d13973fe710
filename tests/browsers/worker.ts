/** The demo mix in a worker. */
import { renderDemo } from './demo.ts';
import { digest } from './digest.ts';

void digest(renderDemo()).then((text) => {
  postMessage(text);
});
