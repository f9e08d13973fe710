/** Before any test: the packed browser is unpacked once, so that no two test files write it at the same time. */
import { chromiumPath } from '../../scripts/chromium.mjs';

export default async function setup(): Promise<void> {
  await chromiumPath();
}
