import { apply } from './settings.js';
import { faultWords } from './parts.js';
import { startRouting } from './route.js';
import { say } from './undo.js';

// What no page has caught is said all the same; a question that was dropped with its page is none.
addEventListener('unhandledrejection', (event) => {
  if (event.reason?.name === 'AbortError') event.preventDefault();
  else if (event.reason?.remedy !== undefined) {
    event.preventDefault();
    say(faultWords(event.reason));
  }
});

apply();
startRouting();
