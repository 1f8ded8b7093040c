// Whoever is asked to sign in is shown nothing that this phone kept of the house. What waits to be
// sent to the logbook stays: it is theirs who entered it, and in no other place.

import { forgetPages } from "./kept-pages.js";

await forgetPages().catch(() => undefined); // where nothing can be kept there is nothing
