/** @jsxImportSource preact */
// A screen's frame: what scrolls, and under it the actions at the thumb, which never cover it.
import { createContext } from 'preact'
import type { ComponentChildren } from 'preact'
import { createPortal } from 'preact/compat'
import { useContext, useState } from 'preact/hooks'

const Slot = createContext<HTMLElement | null>(null)

/** The page's main element. */
export function ScreenFrame({ children }: { children: ComponentChildren }) {
  const [slot, setSlot] = useState<HTMLElement | null>(null)
  return (
    <main class="frame">
      <Slot.Provider value={slot}>
        {/* Keys must be able to scroll it even when nothing in it takes the focus. */}
        <div class="screen" tabIndex={0}>
          {children}
        </div>
      </Slot.Provider>
      <div class="slot" ref={setSlot} />
    </main>
  )
}

/** The buttons at the thumb: they stay at the bottom of the screen while the rest scrolls. */
export function Actions({ children }: { children: ComponentChildren }) {
  const slot = useContext(Slot)
  return slot === null ? null : createPortal(<div class="actions">{children}</div>, slot)
}
