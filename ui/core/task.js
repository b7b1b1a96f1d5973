// Long work of the server: what it is at, until it has ended.
import { get, remove } from './ask.js';
import { listen } from './live.js';

const again = 2000; // ms; should news be missed

// Resolves with the result of the task; rejects with its fault, or with 'stopped'. `progress(share)` is told how far it is.
export function followTask(task, progress, signal) {
  return new Promise((resolve, reject) => {
    const end = new AbortController();
    const take = (news) => {
      if (news === null || news.task !== task || end.signal.aborted) return;
      if (news.state === 'running') return void progress(news.share ?? -1);
      end.abort();
      if (news.state === 'done') return void resolve(news.result);
      const fault = new Error(news.fault?.what ?? 'It was stopped');
      reject(Object.assign(fault, { remedy: news.fault?.remedy ?? '', stopped: news.state === 'stopped' }));
    };
    const ask = () => get(`/api/tasks/${task}`, end.signal).then(take, () => {});
    const timer = setInterval(ask, again);
    end.signal.addEventListener('abort', () => clearInterval(timer));
    signal?.addEventListener('abort', () => end.abort());
    listen('task', take, end.signal);
    ask();
  });
}

export const stopTask = (task) => remove(`/api/tasks/${task}`);
