// What the phone's screens share: they stay readable without a network, where the browser allows it (https).
export function keepScreens() {
  if (!navigator.serviceWorker) return Promise.resolve(null);
  const worker = "/phone-worker.js"; // the one address that the policy lets through
  const policy = globalThis.trustedTypes?.createPolicy("phone", { createScriptURL: () => worker });
  return navigator.serviceWorker.register(policy ? policy.createScriptURL(worker) : worker)
    .then(() => navigator.serviceWorker.ready).catch(() => null);
}
